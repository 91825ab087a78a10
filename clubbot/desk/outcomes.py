"""What follows for bookings when kits come back, move on, or never went out after all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta

from clubbot.desk.acting import Who
from clubbot.desk.fleet import Picture
from clubbot.desk.replanning import plan_anew
from clubbot.rules.calendar import DAY
from clubbot.rules.late import is_late
from clubbot.rules.ledger import Before, Entry, EntryKind, Use, standing
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


def as_they_stand(
    seen: Picture, assignment: Mapping[BookingId, Sequence[KitId]]
) -> tuple[Before, ...]:
    """Return the bookings that an assignment changes, so that undoing it finds them as they are."""
    return tuple(
        (each.id, each.count, each.chosen, each.named)
        for each in seen.bookings
        if set(assignment.get(each.id, each.chosen)) != set(each.chosen)
    )


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
            out = [kit for kit, each in known.items() if each.position.booking == booking.id]
            bookings.open_again(tx, who.club, booking, out, who.now)
            # What is in hand is what the booking has; the rest only as far as it wants more.
            rest = [kit for kit in booking.chosen if kit not in out]
            bookings.drop(tx, who.club, booking.id, rest[max(booking.count - len(out), 0) :])
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
    found = bookings.by_id(tx, who.club, was)
    unusable = {kit for kit, now in known.items() if now.position.use is not Use.IN_USE}
    unusable |= {kit for kit, now in known.items() if now.position.out}
    gap = timedelta(minutes=who.settings.gap_minutes)
    kept: dict[BookingId, list[KitId]] = {}
    # Those that change together find their kits again with one another first; then what is
    # still wanting is filled up with what they have now.
    for fill in (False, True):
        for booking in found.values():
            count, chosen = was[booking.id][1:3]
            out = [kit for kit, now in known.items() if now.position.booking == booking.id]
            near = bookings.between(tx, who.club, booking.window, gap)
            gone = {k for b in near if b.id != booking.id for k in kept.get(b.id, ())}
            gone |= {k for b in near if b.id not in found for k in b.chosen}
            wanted = [kit for kit in chosen if kit in booking.chosen or kit not in unusable]
            wanted = [*out, *wanted, *(booking.chosen if fill else ())]
            fitting = [kit for kit in dict.fromkeys(wanted) if kit in out or kit not in gone]
            kept[booking.id] = fitting[: max(count, len(out))]
    for booking in found.values():
        bookings.drop(tx, who.club, booking.id, booking.chosen)
    for booking in found.values():
        count, _, named = was[booking.id][1:]
        _choose_again(tx, who, booking, kept[booking.id], frozenset(named))
        bookings.widen(tx, who.club, booking.id, max(count, len(kept[booking.id])))


def _choose_again(
    tx: Tx, who: Who, booking: LiveBooking, kept: Sequence[KitId], named: frozenset[KitId]
) -> None:
    """Choose kits for a booking that has none; what people weren't told yet may still move."""
    untold = {kit for kit in booking.chosen if kit not in booking.told}
    for told_at, those in ((who.now, set(kept) - untold), (None, untold & set(kept))):
        chosen = [kit for kit in kept if kit in those]
        bookings.choose(tx, who.club, booking.id, chosen, named, told_at)


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
