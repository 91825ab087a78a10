"""The outbox: what is owed is leased, its facts are read again, and what became of it is noted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clubbot.desk import alarms, group, muting, notices, telling
from clubbot.desk.acting import Asking, View, Who, by_the_clock, view
from clubbot.rules.model import BookingId, ClubId, PersonId, Role
from clubbot.rules.results import (
    Late,
)
from clubbot.rules.sending import Gone, Outcome, Sent, TryAgain, Unknown
from clubbot.store import announcements, bookings, clubs, people, swaps
from clubbot.store import notices as rows
from clubbot.store.announcements import AnnouncementRow
from clubbot.store.engine import Store, Tx
from clubbot.store.notices import NoticeRow

LEASE = timedelta(seconds=90)
AGAIN = timedelta(seconds=30)
TRIES = 2
"""How often a notice is sent at most when nobody knows whether it arrived."""
KEPT_DAYS = 60


@dataclass(frozen=True, slots=True)
class Owed:
    """One message to one person: a single urgent notice, or all others that wait for them."""

    club: ClubId
    person: PersonId
    chat_id: int | None
    urgent: bool
    notices: tuple[NoticeRow, ...]
    announcement: AnnouncementRow | None = None
    """What is owed to a group instead; then there is no person and no notice."""

    @property
    def topic(self) -> int | None:
        return self.announcement.topic if self.announcement else None


def lease(store: Store, now: datetime, real: datetime, limit: int = 50) -> list[Owed]:
    """Take what is owed by now, joined into one message a person, danger first, groups last.

    What is no longer of use, or not wanted, is dropped on the way. `real` is real time: leases run
    on it.
    """
    with store.write() as tx:
        taken = rows.lease(tx, now, real, real + LEASE, limit)
        stale = [row.id for row in taken if row.useful_until <= now or row.tries >= TRIES]
        stale += muting.unwanted(tx, [row for row in taken if row.id not in stale], now)
        if stale:
            rows.mark(tx, stale, state="dropped", lease_until=None)
        told = announcements.lease(tx, now, real, real + LEASE, limit)
    found: dict[object, list[NoticeRow]] = {}
    for row in taken:
        if row.id not in stale:
            key = row.id if row.urgent else (row.club, row.person)
            found.setdefault(key, []).append(row)
    return [
        Owed(each[0].club, each[0].person, each[0].chat_id, each[0].urgent, tuple(each))
        for each in found.values()
    ] + [Owed(row.club, PersonId(0), row.chat_id, False, (), row) for row in told]


def take_up_again(store: Store) -> None:
    """Let go of what the last run's sender held, where no other process can be sending.

    A SQLite database has one process; on a server the leases run out by themselves.
    """
    if store.sqlite:
        with store.write() as tx:
            rows.release(tx)
            announcements.release(tx)


def mark(store: Store, owed: Owed, outcome: Outcome, now: datetime, real: datetime) -> None:
    """Note what became of a message."""
    if owed.announcement is not None:
        _mark_announcement(store, owed.announcement, outcome, now, real)
        return
    ids = [row.id for row in owed.notices]
    with store.write() as tx:
        match outcome:
            case Sent():
                rows.mark(
                    tx,
                    ids,
                    state="sent",
                    sent_at=now,
                    message_id=outcome.message_id,
                    lease_until=None,
                )
                for row in owed.notices:
                    if row.kind in (notices.TOMORROW, notices.SWAPPED):
                        booking = BookingId(telling.number_of(row))
                        bookings.told(tx, row.club, booking, now)
                        swaps.heard(tx, row.club, booking)
            case TryAgain():
                rows.mark(tx, ids, state="waiting", lease_until=real + outcome.after, tries=0)
            case Unknown():
                again = max(row.tries for row in owed.notices) + 1 < TRIES
                state = "waiting" if again else "unknown"
                rows.mark(tx, ids, state=state, lease_until=real + AGAIN)
            case Gone():
                rows.mark(tx, ids, state="gone", lease_until=None)
        if owed.urgent and not isinstance(outcome, TryAgain):
            for row in owed.notices:
                alarms.follow(tx, row, now)


def _mark_announcement(
    store: Store, row: AnnouncementRow, outcome: Outcome, now: datetime, real: datetime
) -> None:
    """Note what became of an announcement; one that may have arrived isn't sent again."""
    with store.write() as tx:
        match outcome:
            case Sent():
                announcements.mark(tx, row.id, state="sent", sent_at=now, lease_until=None)
            case TryAgain():
                again = real + outcome.after
                announcements.mark(tx, row.id, state="waiting", lease_until=again, tries=0)
            case Unknown():
                announcements.mark(tx, row.id, state="unknown", lease_until=None)
            case Gone():
                announcements.mark(tx, row.id, state="gone", lease_until=None)


def drop(store: Store, owed: Owed) -> None:
    """Note that a message had nothing left to say."""
    with store.write() as tx:
        if owed.announcement is not None:
            announcements.mark(tx, owed.announcement.id, state="dropped", lease_until=None)
        rows.mark(tx, [row.id for row in owed.notices], state="dropped", lease_until=None)


def upkeep(store: Store, now: datetime) -> None:
    """Delete what was settled long ago."""
    with store.write() as tx:
        rows.forget(tx, now - timedelta(days=KEPT_DAYS))
        announcements.forget(tx, now - timedelta(days=KEPT_DAYS))


def nothing_owed(store: Store, now: datetime) -> bool:
    """Say whether nothing waits to be sent by now."""
    with store.read() as tx:
        return rows.owed(tx, now) == 0 and announcements.owed(tx, now) == 0


def message(store: Store, owed: Owed, now: datetime) -> tuple[list[object], View] | None:
    """Read again what a message is to say: its parts, and the view to word them in.

    None where nothing is left to say: the kit came back, the booking is off, the person left.
    """
    with store.read() as tx:
        if owed.announcement is not None:
            return _announced(tx, owed, owed.announcement, now)
        who = _receiver(tx, owed, now)
        if who is None:
            return None
        parts = [part for row in owed.notices if (part := telling.READ[row.kind](tx, who, row))]
    merged = _joined(parts)
    return (merged, view(who)) if merged else None


def _announced(
    tx: Tx, owed: Owed, row: AnnouncementRow, now: datetime
) -> tuple[list[object], View] | None:
    """Return what a group is told, for nobody in particular; nothing where it is stale."""
    if owed.chat_id is None or row.useful_until <= now or row.tries >= TRIES:
        return None
    shown = view(by_the_clock(clubs.club(tx, owed.club), now))
    return [group.READ[row.kind](row.facts)], shown._replace(private=False, role=Role.STUDENT)


def _receiver(tx: Tx, owed: Owed, now: datetime) -> Who | None:
    row = next((each for each in people.people(tx, owed.club) if each.id == owed.person), None)
    if row is None or owed.chat_id is None or row.unreachable:
        return None
    club = clubs.club(tx, owed.club)
    asking = Asking(0, 0, owed.chat_id, owed.chat_id, private=True, said_at=now, now=now)
    return Who(row.id, row.name, row.role, club.id, club.name, club.zone, club.settings, asking)


def _joined(parts: list[object]) -> list[object]:
    """Say the same thing of several kits once."""
    merged: list[object] = []
    for part in parts:
        last = merged[-1] if merged else None
        if isinstance(part, Late) and isinstance(last, Late) and _alike(part, last):
            merged[-1] = replace(last, kits=(*last.kits, *part.kits))
        else:
            merged.append(part)
    return merged


def _alike(one: Late, other: Late) -> bool:
    """Say whether two differ in their kits only."""
    return replace(one, kits=other.kits) == other
