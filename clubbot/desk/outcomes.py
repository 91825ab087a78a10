"""What follows for bookings when kits come back, move on, or never went out after all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta

from clubbot.desk.acting import Who
from clubbot.desk.replanning import plan_anew
from clubbot.rules.calendar import DAY
from clubbot.rules.late import is_late
from clubbot.rules.ledger import Entry, EntryKind, Use, standing
from clubbot.rules.model import BookingId, KitId
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    OutLine,
)
from clubbot.store import bookings, clubs
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.ledger import entries_about

_PLANNED_ANEW = frozenset(
    {
        EntryKind.PASSED_ON,
        EntryKind.HELD,
        EntryKind.RELEASED,
        EntryKind.WITHDRAWN,
        EntryKind.RESTORED,
        EntryKind.LOST,
        EntryKind.FOUND,
    }
)


def end_where_all_back(
    tx: Tx,
    who: Who,
    known: Mapping[KitId, KitNow],
    booking_ids: Iterable[BookingId | None],
    gone: Iterable[KitId],
) -> None:
    """End the bookings of which no kit is out any more, so that nobody waits for their end."""
    back_now = set(gone)
    for booking in booking_ids:
        others = [
            now
            for now in known.values()
            if now.position.booking == booking and now.kit.id not in back_now
        ]
        if booking is not None and not others:
            bookings.end(tx, who.club, booking, who.now)


def follow_undoing(
    tx: Tx, who: Who, known: Mapping[KitId, KitNow], undone: Sequence[Entry]
) -> None:
    """Make the bookings follow: open where a kit is out, gone if what is undone made them.

    A kit that is with its first team again is no longer the next one's; what is wanting then, or
    what may or may not be used now, is planned anew.
    """
    mentioned = {each.detail.booking for each in undone}
    kits_undone = {each.kit for each in undone if each.kit is not None}
    mentioned |= {known[kit].position.booking for kit in kits_undone if kit in known}
    found = bookings.by_id(tx, who.club, [each for each in mentioned if each is not None])
    for booking in found.values():
        out = [kit for kit, now in known.items() if now.position.booking == booking.id]
        if out:
            bookings.open_again(tx, who.club, booking, out, who.now)
        elif booking.booked_by is None and booking.booked_at == undone[0].said_at:
            bookings.cancel(tx, who.club, booking.id, who.now)
        elif not _was_used(tx, who, booking, kits_undone):
            bookings.open_again(tx, who.club, booking, (), who.now)
        elsewhere = [
            each.kit
            for each in undone
            if each.kit in booking.chosen
            and known[each.kit].position.booking not in (None, booking.id)
        ]
        bookings.drop(tx, who.club, booking.id, elsewhere)
    _as_before(tx, who, known, undone)
    _end_as_due(tx, who, known, undone)
    if any(each.kind in _PLANNED_ANEW for each in undone):
        plan_anew(tx, who, shown=False)


def _was_used(tx: Tx, who: Who, booking: LiveBooking, kits: Iterable[KitId]) -> bool:
    """Say whether it stands that something went out for a booking."""
    return any(
        each.detail.booking == booking.id
        for kit in {*booking.chosen, *kits}
        for each in standing(entries_about(tx, who.club, ("kit", kit)))
        if each.kind in (EntryKind.GIVEN_OUT, EntryKind.PASSED_ON)
    )


def follow_restoring(
    tx: Tx,
    who: Who,
    known: Mapping[KitId, KitNow],
    again: Sequence[Entry],
    left: Iterable[BookingId | None],
) -> None:
    """Make the bookings follow what stands again: open where a kit is out, ended where none is.

    `left` are the bookings that the kits were out for before. A booking that was cancelled with
    what had made it stands again; what it takes from others is planned anew.
    """
    for kit in {each.kit for each in again if each.item is None}:
        now = known.get(kit) if kit is not None else None
        if now is None or now.position.booking is None:
            continue
        bookings.take_up(tx, who.club, now.position.booking)
        for booking in bookings.by_id(tx, who.club, [now.position.booking]).values():
            bookings.open_again(tx, who.club, booking, [now.kit.id], who.now)
    end_where_all_back(tx, who, known, set(left), ())
    _end_as_due(tx, who, known, again)
    plan_anew(tx, who, shown=False)


def _end_as_due(
    tx: Tx, who: Who, known: Mapping[KitId, KitNow], corrected: Sequence[Entry]
) -> None:
    """Let a booking that got its kits for longer end when they are due now."""
    for each in corrected:
        now = known.get(each.kit) if each.kit is not None else None
        if each.kind is not EntryKind.EXTENDED or now is None or now.position.due is None:
            continue
        if (booking := each.detail.booking) is not None and now.position.booking == booking:
            bookings.prolong(tx, who.club, booking, now.position.due)


def _as_before(tx: Tx, who: Who, known: Mapping[KitId, KitNow], undone: Sequence[Entry]) -> None:
    """Give bookings the number, the kits and the names back that they had before the deed.

    A kit that somebody else was promised meanwhile, or that can't be used, stays away, and the
    one in its place stays.
    """
    was = {each[0]: each for entry in reversed(undone) for each in entry.detail.before}
    gap = timedelta(minutes=who.settings.gap_minutes)
    for booking in bookings.by_id(tx, who.club, was).values():
        _, count, chosen, named = was[booking.id]
        out = [kit for kit, now in known.items() if now.position.booking == booking.id]
        near = bookings.between(tx, who.club, booking.window, gap)
        gone = {kit for other in near if other.id != booking.id for kit in other.chosen}
        gone |= {kit for kit, now in known.items() if now.position.use is not Use.IN_USE}
        gone |= {kit for kit, now in known.items() if now.position.out}
        again = [kit for kit in chosen if kit in booking.chosen or kit not in gone]
        count = max(count, len(out))
        kept = list(dict.fromkeys((*out, *again, *booking.chosen)))[:count]
        lost = [kit for kit in booking.chosen if kit not in kept]
        unnamed = [kit for kit in named if kit in booking.chosen and kit not in booking.named]
        fresh = [kit for kit in kept if kit not in booking.chosen or kit in unnamed]
        bookings.drop(tx, who.club, booking.id, [*lost, *unnamed])
        bookings.choose(tx, who.club, booking.id, fresh, frozenset(named), who.now)
        bookings.widen(tx, who.club, booking.id, count)


def due_today(who: Who, now: KitNow) -> bool:
    """Say whether a kit is out and due on this day of the club's, or earlier."""
    due = now.position.due
    if not now.position.out or due is None:
        return now.position.out
    tomorrow = who.now.astimezone(who.zone).date() + DAY
    return due.astimezone(who.zone).date() < tomorrow


def out_lines(tx: Tx, who: Who, known: Mapping[KitId, KitNow]) -> tuple[OutLine, ...]:
    """Return the kits that are out, in the order of their labels; who is late only adults see."""
    answers = may(who.role, Deed.ANSWER_LATE)
    teams = clubs.teams(tx, who.club)
    grace = timedelta(minutes=who.settings.grace_minutes)
    return tuple(
        OutLine(
            kit=now.ref,
            team=teams.get(now.position.team) if now.position.team else None,
            due=now.position.due,
            late=answers and is_late(now.position, who.now, grace),
            said_back=now.position.said_back_at is not None,
        )
        for now in known.values()
        if now.position.out
    )
