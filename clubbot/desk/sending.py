"""The outbox: what is owed is leased, its facts are read again, and what became of it is noted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from clubbot.desk import charging, feed, notices, today
from clubbot.desk.acting import Asking, View, Who, view
from clubbot.desk.fleet import Picture, picture
from clubbot.rules.late import is_late
from clubbot.rules.model import BookingId, ClubId, KitId, PersonId, Window
from clubbot.rules.results import (
    BookedTomorrow,
    BookingChanged,
    BookingOff,
    BookingShort,
    DangerAlarm,
    DueSoon,
    KitsSwapped,
    Late,
    NewFault,
    PlaceOffered,
    RequestAsked,
    RequestDecided,
    SomeoneKnocks,
    StillOut,
    Teardown,
    YouAreIn,
)
from clubbot.rules.sending import Gone, Outcome, Sent, TryAgain, Unknown
from clubbot.store import bookings, clubs, faults, people, wishes
from clubbot.store import notices as rows
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


def lease(store: Store, now: datetime, real: datetime, limit: int = 50) -> list[Owed]:
    """Take what is owed by now, joined into one message a person, danger first.

    What is no longer of use is dropped on the way. `real` is real time: leases run on it.
    """
    with store.write() as tx:
        taken = rows.lease(tx, now, real, real + LEASE, limit)
        stale = [row.id for row in taken if row.useful_until <= now or row.tries >= TRIES]
        if stale:
            rows.mark(tx, stale, state="dropped", lease_until=None)
    found: dict[object, list[NoticeRow]] = {}
    for row in taken:
        if row.id not in stale:
            key = row.id if row.urgent else (row.club, row.person)
            found.setdefault(key, []).append(row)
    return [
        Owed(group[0].club, group[0].person, group[0].chat_id, group[0].urgent, tuple(group))
        for group in found.values()
    ]


def take_up_again(store: Store) -> None:
    """Let go of what the last run's sender held, where no other process can be sending.

    A SQLite database has one process; on a server the leases run out by themselves.
    """
    if store.sqlite:
        with store.write() as tx:
            rows.release(tx)


def mark(store: Store, owed: Owed, outcome: Outcome, now: datetime, real: datetime) -> None:
    """Note what became of a message."""
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
                        bookings.told(tx, row.club, BookingId(_number(row)), now)
            case TryAgain():
                rows.mark(tx, ids, state="waiting", lease_until=real + outcome.after, tries=0)
            case Unknown():
                again = max(row.tries for row in owed.notices) + 1 < TRIES
                state = "waiting" if again else "unknown"
                rows.mark(tx, ids, state=state, lease_until=real + AGAIN)
            case Gone():
                rows.mark(tx, ids, state="gone", lease_until=None)


def drop(store: Store, owed: Owed) -> None:
    """Note that a message had nothing left to say."""
    with store.write() as tx:
        rows.mark(tx, [row.id for row in owed.notices], state="dropped", lease_until=None)


def upkeep(store: Store, now: datetime) -> None:
    """Delete what was settled long ago."""
    with store.write() as tx:
        rows.forget(tx, now - timedelta(days=KEPT_DAYS))


def nothing_owed(store: Store, now: datetime) -> bool:
    """Say whether nothing waits to be sent by now."""
    with store.read() as tx:
        return rows.owed(tx, now) == 0


def message(store: Store, owed: Owed, now: datetime) -> tuple[list[object], View] | None:
    """Read again what a message is to say: its parts, and the view to word them in.

    None where nothing is left to say: the kit came back, the booking is off, the person left.
    """
    with store.read() as tx:
        who = _receiver(tx, owed, now)
        if who is None:
            return None
        parts = [part for row in owed.notices if (part := _READ[row.kind](tx, who, row))]
    merged = _joined(parts)
    return (merged, view(who)) if merged else None


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
            merged[-1] = Late((*last.kits, *part.kits), part.team, part.due, part.step)
        else:
            merged.append(part)
    return merged


def _alike(one: Late, other: Late) -> bool:
    return (one.team, one.due, one.step) == (other.team, other.due, other.step)


def _number(row: NoticeRow) -> int:
    return int(row.subject.rpartition(" ")[2])


def _around(tx: Tx, who: Who, row: NoticeRow) -> tuple[Picture, bookings.LiveBooking] | None:
    booking = bookings.by_id(tx, who.club, [_number(row)]).get(BookingId(_number(row)))
    return (picture(tx, who, booking.window), booking) if booking else None


def _tomorrow(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return BookedTomorrow(found[0].shown(found[1])) if found else None


def _due_soon(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    if found is None:
        return None
    shown = found[0].shown(found[1])
    return DueSoon(shown.out, shown.team, shown.window.end) if shown.out else None


def _late_asked(tx: Tx, who: Who, row: NoticeRow) -> object:
    seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
    due = datetime.fromisoformat(row.occurrence)
    late = [now.ref for now in seen.kits.values() if now.position.due == due]
    return StillOut(row.id, tuple(late)) if late else None


def _late(step: Literal["holder", "morning", "leader"]) -> Callable[[Tx, Who, NoticeRow], object]:
    def read(tx: Tx, who: Who, row: NoticeRow) -> object:
        seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
        now = seen.kits.get(KitId(_number(row)))
        grace = timedelta(minutes=who.settings.grace_minutes)
        if now is None or not is_late(now.position, who.now, grace):
            return None
        if now.position.said_back_at is not None or now.position.due is None:
            return None
        team = seen.teams.get(now.position.team) if now.position.team else None
        return Late((now.ref,), team, now.position.due, step)

    return read


def _charge_list(tx: Tx, who: Who, row: NoticeRow) -> object:
    calendar = clubs.calendar(tx, who.club, who.zone)
    found = charging.of_week(tx, who.club, calendar, calendar.day_of(row.due_at))
    return found if found.needed else None


def _morning_list(tx: Tx, who: Who, row: NoticeRow) -> object:
    return today.of_day(tx, who, row.due_at.astimezone(who.zone).date())


def _swapped(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    if found is None:
        return None
    swaps = tuple((before, after, why) for before, after, why in row.facts["swaps"])
    return KitsSwapped(found[0].shown(found[1]), swaps)


def _changed(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return BookingChanged(found[0].shown(found[1])) if found else None


def _short(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return BookingShort(found[0].shown(found[1])) if found else None


def _off(tx: Tx, who: Who, row: NoticeRow) -> object:
    start = datetime.fromisoformat(row.facts["start"])
    return BookingOff(row.facts["number"], start, row.facts["closed"])


def _knock(tx: Tx, who: Who, row: NoticeRow) -> object:
    waiting = {each.id: each for each in people.knocks(tx, who.club)}
    knock = waiting.get(row.facts["knock"])
    return SomeoneKnocks(knock) if knock else None


def _let_in(tx: Tx, who: Who, row: NoticeRow) -> object:
    return YouAreIn(who.club_name, str(who.role))


def _fault(tx: Tx, who: Who, row: NoticeRow) -> object:
    number = _number(row)
    found = [each for each in faults.still_open(tx, who.club) if each.id == number]
    return NewFault(found[0]) if found else None


def _danger(tx: Tx, who: Who, row: NoticeRow) -> object:
    seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
    facts = row.facts
    return DangerAlarm(
        kits=tuple(seen.kits[kit].ref for kit in facts["kits"] if kit in seen.kits),
        said=facts["said"],
        by=facts["by"],
        fire=facts["fire"],
        numbers=tuple(facts["numbers"]),
    )


def _offer(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, _number(row))
    if wish is None or wish.state != "offered" or wish.booking is None:
        return None
    until = bookings.offered_until(tx, who.club, wish.booking)
    return PlaceOffered(wish.id, wish.window, wish.count, until) if until else None


def _asked(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, _number(row))
    if wish is None or wish.state != "asked":
        return None
    names = {each.id: each.name for each in people.people(tx, who.club)}
    team = clubs.teams(tx, who.club).get(wish.team) if wish.team else None
    by = names.get(wish.person, "")
    return RequestAsked(wish.id, wish.window, wish.count, team, by, wish.why)


def _decided(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, _number(row))
    if wish is None:
        return None
    found = bookings.by_id(tx, who.club, [wish.booking]) if wish.booking else {}
    number = found[wish.booking].number if wish.booking in found else None
    return RequestDecided(wish.window, wish.count, row.facts["yes"], number)


def _teardown(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return Teardown(found[0].shown(found[1])) if found else None


_READ: dict[str, Callable[[Tx, Who, NoticeRow], object]] = {
    notices.TOMORROW: _tomorrow,
    notices.DUE_SOON: _due_soon,
    notices.LATE_ASKED: _late_asked,
    notices.LATE_HOLDER: _late("holder"),
    notices.LATE_MORNING: _late("morning"),
    notices.LATE_LEADER: _late("leader"),
    notices.CHARGE_LIST: _charge_list,
    notices.MORNING_LIST: _morning_list,
    notices.SWAPPED: _swapped,
    notices.CHANGED: _changed,
    notices.SHORT: _short,
    notices.OFF: _off,
    notices.KNOCK: _knock,
    notices.LET_IN: _let_in,
    notices.FAULT: _fault,
    notices.DANGER: _danger,
    notices.OFFER: _offer,
    notices.ASKED: _asked,
    notices.DECIDED: _decided,
    notices.TEARDOWN: _teardown,
    notices.FEED: feed.owed,
}
