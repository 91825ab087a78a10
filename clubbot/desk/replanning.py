"""When the world changes: the bookings to come get kits that can be had, with fewest changes."""

from __future__ import annotations

from datetime import timedelta

from clubbot.desk import notices
from clubbot.desk.acting import Who
from clubbot.desk.fleet import assign, picture
from clubbot.rules.availability import replan
from clubbot.rules.model import Window
from clubbot.rules.results import BookingView, Swap
from clubbot.store.engine import Tx

LOOK_AHEAD = timedelta(days=60)
"""How far ahead bookings are planned anew: about a term, of which people know the dates."""


def plan_anew(tx: Tx, who: Who) -> tuple[tuple[Swap, ...], tuple[BookingView, ...]]:
    """Give the bookings to come kits that can be had; most of them met, then fewest changes.

    Returns the labels that changed for people who had been told, and the bookings that can't
    have all their kits any more. Each team concerned is told, and the adults of what can't be met.
    """
    seen = picture(tx, who, Window(who.now, who.now + LOOK_AHEAD))
    plan = replan(seen.fleet, seen.demands)
    swaps = assign(tx, who, seen, plan.assignment)
    short = [booking for booking in seen.bookings if booking.id in plan.unmet]
    shown = tuple(seen.shown(booking) for booking in short)
    for booking in shown:
        people = [*notices.concerned(tx, who, booking), *notices.adults(tx, who)]
        notices.tell_once(tx, who, people, notices.SHORT, f"booking {booking.id}")
    return swaps, shown
