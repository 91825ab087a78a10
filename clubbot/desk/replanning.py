"""When the world changes: the bookings to come get kits that can be had, with fewest changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

from clubbot.desk import notices
from clubbot.desk.acting import Who
from clubbot.desk.fleet import Picture, assign, picture
from clubbot.rules.availability import Demand, replan
from clubbot.rules.model import BookingId, KitId, PersonId, Window
from clubbot.rules.results import BookingView, Swap
from clubbot.store import swaps as swaps_owed
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.swaps import OwedSwap

LOOK_AHEAD = timedelta(days=60)
"""How far ahead bookings are planned anew: about a term, of which people know the dates."""


def plan_anew(
    tx: Tx, who: Who, *, shown: bool = True
) -> tuple[tuple[Swap, ...], tuple[BookingView, ...]]:
    """Give the bookings to come kits that can be had; most of them met, then fewest changes.

    Returns the labels that changed for people who had been told, and the bookings that can't
    have all their kits any more. Each team concerned is told, and the adults of what can't be met.
    `shown` says that who asked sees in the answer what changed; otherwise they are told as well.
    """
    if not shown:
        who = replace(who, person=PersonId(0))
    seen = picture(tx, who, Window(who.now, who.now + LOOK_AHEAD))
    owed = swaps_owed.owed(tx, who.club, [booking.id for booking in seen.bookings])
    plan = replan(seen.fleet, [_believed(each, owed) for each in seen.whole_demands])
    short = [booking for booking in seen.bookings if booking.id in plan.unmet]
    taken = dict(plan.assignment)
    for booking in short:
        taken[booking.id] = _left(seen, booking, taken)
    swaps = assign(tx, who, seen, taken)
    for changed in owed:
        swaps_owed.settle_back(tx, who.club, changed)
    lacking = tuple(seen.shown(booking) for booking in short)
    for each in lacking:
        people = [*notices.concerned(tx, who, each), *notices.adults(tx, who)]
        notices.tell_once(tx, who, people, notices.SHORT, f"booking {each.id}")
    return swaps, lacking


def _believed(demand: Demand, owed: Mapping[BookingId, list[OwedSwap]]) -> Demand:
    """Count what people still believe to have as told: going back to it changes nothing."""
    kits = [swap.kit for swap in owed.get(demand.booking, [])]
    return replace(demand, told=(*demand.told, *kits)) if kits else demand


def _left(
    seen: Picture, booking: LiveBooking, taken: Mapping[BookingId, tuple[KitId, ...]]
) -> tuple[KitId, ...]:
    """Return the kits that a booking keeps which can't have all: usable, nobody else's then."""
    gone = {
        kit.id for kit in seen.fleet.kits for span in kit.blocked if span.overlaps(booking.window)
    }
    by_id = {other.id: other for other in seen.bookings}
    for other, kits in taken.items():
        if other != booking.id and by_id[other].window.overlaps(booking.window, seen.fleet.gap):
            gone.update(kits)
    out = seen.out_for(booking)
    return tuple(kit for kit in booking.chosen if kit not in gone or kit in out)
