"""One kit for another in a booking: with one tap, and what follows is planned anew with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from clubbot.desk.acting import Who, deed
from clubbot.desk.fleet import Picture, assign, picture
from clubbot.desk.outcomes import as_they_stand
from clubbot.desk.today import not_ready
from clubbot.rules.availability import Possible, decide
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.reading import read_labels
from clubbot.rules.results import KitSwapped, SwapOffer
from clubbot.store import bookings, faults
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft

SOON = timedelta(hours=12)


@deed(Deed.GIVE_OUT)
def swap(tx: Tx, who: Who, text: str) -> KitSwapped | Refused:
    """Give the booking of today that has the first kit named another: the second, or one free."""
    known = kits(tx, who.club)
    by_label = {now.kit.label: now for now in known.values()}
    found, unknown = read_labels(f"kit {text}" if text else "", list(by_label))
    if unknown or not found or len(found) > 2:
        return Refused(Reason.UNKNOWN_KIT, {"word": unknown[0] if unknown else ""})
    old = by_label[found[0]].kit.id
    seen = picture(tx, who, Window(who.now, who.now + SOON))
    having = [each for each in seen.bookings if old in each.chosen and each.kind == "use"]
    if not having:
        return Refused(Reason.NOT_OUT if len(found) == 1 else Reason.OUT_OF_DATE, _label(seen, old))
    new = by_label[found[1]].kit.id if len(found) == 2 else None
    return _swap(tx, who, min(having, key=lambda each: each.window.start), old, new)


@deed(Deed.GIVE_OUT)
def swap_in(tx: Tx, who: Who, number: int, kit: KitId) -> KitSwapped | Refused:
    """Give one booking another kit in place of this one: the bot picks which."""
    booking = bookings.by_number(tx, who.club, number)
    if booking is None or kit not in booking.chosen or booking.window.end <= who.now:
        return Refused(Reason.OUT_OF_DATE)
    return _swap(tx, who, booking, kit, None)


def booked(tx: Tx, who: Who, kit: KitId) -> LiveBooking | None:
    """Return the booking that has a kit now, or next today."""
    soon = bookings.between(tx, who.club, Window(who.now, who.now + SOON))
    having = [each for each in soon if kit in each.chosen and each.kind == "use"]
    return min(having, key=lambda each: each.window.start, default=None)


def offer(tx: Tx, who: Who, kit: KitId) -> SwapOffer | None:
    """Return the kit that the booking of now, or the next one today, could have instead."""
    booking = booked(tx, who, kit)
    if booking is None:
        return None
    seen = picture(tx, who, booking.window)
    booking = next((each for each in seen.bookings if each.id == booking.id), booking)
    answer = _other(tx, who, seen, booking, kit, None)
    if not isinstance(answer, Possible):
        return None
    fresh = [each for each in answer.assignment[booking.id] if each not in booking.chosen]
    return SwapOffer(booking.number, seen.kits[kit].ref, seen.kits[fresh[0]].ref) if fresh else None


def _swap(
    tx: Tx, who: Who, booking: LiveBooking, old: KitId, new: KitId | None
) -> KitSwapped | Refused:
    seen = picture(tx, who, booking.window)
    booking = next((each for each in seen.bookings if each.id == booking.id), booking)
    if new is not None and (new in booking.chosen or seen.kits[new].position.out):
        return Refused(Reason.ALREADY, {"what": "out", **_label(seen, new)})
    answer = _other(tx, who, seen, booking, old, new)
    if not isinstance(answer, Possible):
        facts = {"window": booking.window, "possible": 0, "count": 1}
        return Refused(
            Reason.NONE_FREE if new is None else Reason.KIT_TAKEN, facts | _labels(seen, new)
        )
    chosen = answer.assignment[booking.id]
    fresh = next(kit for kit in chosen if kit not in booking.chosen)
    position = seen.kits[old].position
    before = as_they_stand(seen, answer.assignment)
    swaps = assign(tx, who, seen, answer.assignment)
    bookings.told(tx, who.club, booking.id, who.now)
    if position.booking == booking.id and position.out:
        detail = Detail(position.team, booking.id, position.due, before=before)
        who.append(
            tx,
            [
                Draft(EntryKind.TAKEN_BACK, kit=old),
                Draft(EntryKind.GIVEN_OUT, kit=fresh, detail=detail),
            ],
        )
    team = seen.teams.get(booking.team) if booking.team else None
    others = tuple(each for each in swaps if each.number != booking.number)
    return KitSwapped(seen.kits[old].ref, seen.kits[fresh].ref, team, booking.number, others)


def _other(
    tx: Tx, who: Who, seen: Picture, booking: LiveBooking, old: KitId, new: KitId | None
) -> object:
    """Decide on the kits of a booking without the old one; a ready one where there is any."""
    stay = tuple(kit for kit in booking.chosen if kit != old)
    count = max(len(booking.chosen), 1)
    start = min(booking.window.start, who.now) if seen.out_for(booking) else booking.window.start
    demand = replace(
        seen.demand(booking),
        window=Window(start, booking.window.end),
        fixed=(*stay, *((new,) if new is not None else ())),
        count=count,
        firm=False,
        told=(),
        usual=stay,
    )
    others = [each for each in seen.demands if each.booking != booking.id]
    lines = faults.still_open(tx, who.club)
    poor = {kit for kit, now in seen.kits.items() if not_ready(now, booking, lines)}
    answer: object = None
    for shut in ({old, *poor} - {*stay, new}, {old}):
        fleet = tuple(
            replace(kit, blocked=(*kit.blocked, demand.window)) if kit.id in shut else kit
            for kit in seen.fleet.kits
        )
        answer = decide(replace(seen.fleet, kits=fleet), others, demand)
        if isinstance(answer, Possible):
            break
    return answer


def _label(seen: Picture, kit: KitId) -> dict[str, object]:
    return {"labels": (seen.kits[kit].kit.label,)}


def _labels(seen: Picture, kit: KitId | None) -> dict[str, object]:
    return {} if kit is None else _label(seen, kit)
