"""The sweep: which notices have become due, for every club, each found afresh from what stands.

It looks back as far as a moment is still of use, not just to the last sweep, so that a cause that
is said late, or a night without the bot, still has its effect; the notices' own keys keep it from
making one twice. One short transaction a club.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from clubbot.desk import charging, notices, replanning, stalled, storing, succession, waiting
from clubbot.desk.acting import by_the_clock
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.late import is_late
from clubbot.rules.model import KitId, PersonId, Role, TeamId, Window
from clubbot.rules.reminding import (
    SORTING_OUT,
    Due,
    booking_moments,
    charge_list,
    chase,
    due_soon,
    evening_before,
    morning_list,
    regular_moments,
    sending_time,
    teardown,
)
from clubbot.store import bookings, clubs, people, swaps, wishes
from clubbot.store import notices as rows
from clubbot.store.bookings import LiveBooking
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Store, Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.notices import NewNotice

HORIZON = timedelta(hours=26)
"""How far around now bookings are looked at: a day, and the hour that a clock change may add."""
MORNING = timedelta(hours=2)
"""A reminder that quiet hours hold back to this close before the next one is left to that."""
CHASED_FOR = timedelta(days=21)
"""How long after the asking the answer to it still counts."""


@dataclass(frozen=True, slots=True)
class _Club:
    """What the sweep knows of a club."""

    row: ClubRow
    now: datetime
    calendar: ClubCalendar
    roles: dict[PersonId, Role]
    members: Mapping[TeamId, Sequence[PersonId]]
    kits: Mapping[KitId, KitNow]
    bookings: tuple[LiveBooking, ...]

    @property
    def adults(self) -> list[PersonId]:
        return [person for person, role in self.roles.items() if role.adult]

    def fresh(self, due: Due | None) -> bool:
        """Say whether a moment has come and is still of use."""
        return due is not None and due.at <= self.now < due.useful_until

    def notice(self, kind: str, subject: str, due: Due, person: PersonId) -> NewNotice:
        role = self.roles[person]
        return NewNotice(
            kind=kind,
            subject=subject,
            occurrence=due.occurrence,
            person=person,
            due_at=due.at,
            send_at=sending_time(self.now, role, self.calendar, self.row.settings),
            useful_until=due.useful_until,
        )


def sweep(store: Store, now: datetime) -> int:
    """Queue every notice that has become due; return how many are new."""
    with store.read() as tx:
        everyone = clubs.everyone(tx)
    added = 0
    for row in everyone:
        with store.read() as tx:
            club = _load(tx, row, now)
            found = list(_due(club, tx))
            over = bool(wishes.overdue(tx, row.id, now))
            spoiled = _spoils(club)
        if found or over or spoiled:
            with store.write() as tx:
                clubs.lock(tx, row.id)
                added += rows.add(tx, row.id, found)
                who = by_the_clock(row, now)
                if over:
                    waiting.expire(tx, who)
                if spoiled:
                    replanning.plan_anew(tx, who)
    return added


def _spoils(club: _Club) -> bool:
    """Say whether a kit that should be back by now is still chosen for a later booking of today."""
    overdue = {
        kit
        for kit, now in club.kits.items()
        if now.position.due is not None and now.position.due <= club.now
    }
    return any(
        overdue & set(booking.chosen)
        for booking in club.bookings
        if booking.window.start > club.now
        and club.calendar.day_of(booking.window.start) == club.calendar.day_of(club.now)
    )


def _load(tx: Tx, row: ClubRow, now: datetime) -> _Club:
    near = Window(now - HORIZON, now + HORIZON + DAY)
    return _Club(
        row=row,
        now=now,
        calendar=clubs.calendar(tx, row.id, row.zone),
        roles={person.id: person.role for person in people.people(tx, row.id)},
        members=notices.company(tx, row.id),
        kits=kits(tx, row.id),
        bookings=tuple(bookings.between(tx, row.id, Window(now - HORIZON, now + HORIZON + DAY))),
    )


def _due(club: _Club, tx: Tx) -> Iterator[NewNotice]:
    yield from _tomorrow(club, tx)
    yield from _due_soon(club)
    yield from _late(club, tx)
    yield from _charge_list(club, tx)
    yield from _morning_list(club)
    yield from _teardown(club)
    yield from storing.due(club)
    yield from stalled.due(club, tx)
    yield from succession.due(club)


def _tomorrow(club: _Club, tx: Tx) -> Iterator[NewNotice]:
    owed = swaps.owed(tx, club.row.id, [booking.id for booking in club.bookings])
    for booking in club.bookings:
        due = evening_before(booking.window, club.calendar, club.row.settings)
        if booking.kind == "use" and booking.booked_at < due.at and club.fresh(due):
            for person in _holders(club, booking):
                told = club.notice(notices.TOMORROW, f"booking {booking.id}", due, person)
                yield replace(told, facts={"gone": owed.get(booking.id, [])})


def _holders(club: _Club, booking: LiveBooking) -> list[PersonId]:
    """Return who is to hear of a booking: who made it; all of the team where none of it did."""
    team = club.members.get(booking.team, []) if booking.team else []
    found = [booking.booked_by] if booking.booked_by else []
    found += [] if booking.booked_by in team and booking.booked_by in club.roles else team
    return [person for person in dict.fromkeys(found) if person in club.roles]


def _due_soon(club: _Club) -> Iterator[NewNotice]:
    out = {now.position.booking for now in club.kits.values()}
    for booking in club.bookings:
        if booking.id in out:
            due = due_soon(booking.window.end, club.row.settings)
            if club.fresh(due):
                for person in _holders(club, booking):
                    if not club.roles[person].adult:
                        yield club.notice(notices.DUE_SOON, f"booking {booking.id}", due, person)


def _late(club: _Club, tx: Tx) -> Iterator[NewNotice]:
    grace = timedelta(minutes=club.row.settings.grace_minutes)
    late = [now for now in club.kits.values() if is_late(now.position, club.now, grace)]
    if not late:
        return
    asked = rows.of_kind(tx, club.row.id, notices.LATE_ASKED, club.now - CHASED_FOR)
    ids = [now.position.booking for now in late if now.position.booking]
    standing = bookings.by_id(tx, club.row.id, ids)
    for now in late:
        booking = standing.get(now.position.booking) if now.position.booking else None
        yield from _chased(club, now, booking, asked)


def _chased(
    club: _Club, now: KitNow, booking: LiveBooking | None, asked: list[rows.NoticeRow]
) -> Iterator[NewNotice]:
    due = now.position.due
    assert due is not None  # noqa: S101 - a late kit has one
    mine = [each for each in asked if each.occurrence == due.isoformat()]
    steps = chase(
        due,
        club.calendar,
        club.row.settings,
        asked_at=min((each.asked_at for each in mine if each.asked_at), default=None),
        missing_since=min((each.answered_at for each in mine if each.answered_at), default=None),
    )
    subject = f"kit {now.kit.id}"
    adults, holders = _whose(club, now, booking)
    for person in adults:
        if club.fresh(steps.adult):
            yield club.notice(notices.LATE_ASKED, "kits", steps.adult, person)
    if now.position.said_back_at is not None:
        return
    told = {each.person for each in mine}
    first = [person for person in holders or adults if person not in told]
    ladder = (
        (notices.LATE_HOLDER, steps.holder, first),
        (notices.LATE_MORNING, steps.morning, holders or adults),
        (notices.LATE_LEADER, steps.leader, _leaders(club)),
    )
    for kind, step, receivers in ladder:
        if step is not None and club.fresh(step):
            owed = (club.notice(kind, subject, step, person) for person in receivers)
            yield from (each for each in owed if kind != notices.LATE_HOLDER or _evening(each))


def _evening(notice: NewNotice) -> bool:
    """Say whether a notice leaves before its use is over; in the morning a second one would."""
    return notice.send_at + MORNING < notice.useful_until


def _whose(
    club: _Club, now: KitNow, booking: LiveBooking | None
) -> tuple[list[PersonId], list[PersonId]]:
    """Return the session's adults, and who has a late kit, of those in the chat."""
    out_since = now.position.out_since
    if booking is not None:
        return _session_adults(club, booking.window), _holders(club, booking)
    team = club.members.get(now.position.team, []) if now.position.team else []
    adults = _session_adults(club, Window(out_since, now.position.due)) if out_since else []
    return adults or _leaders(club), [person for person in team if person in club.roles]


def _session_adults(club: _Club, window: Window) -> list[PersonId]:
    session = club.calendar.session_with(window)
    if session is not None and session.adult in club.roles:
        return [session.adult]
    return _leaders(club)


def _leaders(club: _Club) -> list[PersonId]:
    return [person for person, role in club.roles.items() if role is Role.LEADER]


def _charge_list(club: _Club, tx: Tx) -> Iterator[NewNotice]:
    today = club.calendar.day_of(club.now)
    for week_of in (today - 7 * DAY, today):
        due = charge_list(week_of, club.calendar, club.row.settings)
        day = club.calendar.day_of(due.at)
        if club.fresh(due) and charging.of_week(tx, club.row.id, club.calendar, day).needed:
            for person in club.adults:
                yield club.notice(notices.CHARGE_LIST, "week", due, person)


def _morning_list(club: _Club) -> Iterator[NewNotice]:
    day = club.calendar.day_of(club.now)
    due = morning_list(day, club.calendar, club.row.settings)
    if due is None or not club.fresh(due):
        return
    sessions = club.calendar.sessions(day, day)
    known = [booking for booking in club.bookings if booking.booked_at < due.at]
    if any(b.window.overlaps(s.window) for b in known for s in sessions):
        for person in club.adults:
            yield club.notice(notices.MORNING_LIST, "day", due, person)


def _teardown(club: _Club) -> Iterator[NewNotice]:
    for booking in club.bookings:
        if booking.kind == "keep":
            due = teardown(booking.window, club.calendar, club.row.settings)
            if club.fresh(due):
                for person in club.adults:
                    yield club.notice(notices.TEARDOWN, f"booking {booking.id}", due, person)


def next_moment(store: Store, after: datetime, until: datetime) -> datetime | None:
    """Return the first moment in (after, until] at which something may become due or be sent.

    It may name one at which nothing is due after all; it never leaves one out.
    """
    if until <= after:
        return None
    found: list[datetime] = []
    span = Window(after, until)
    with store.read() as tx:
        for row in clubs.everyone(tx):
            club = _load(tx, row, after)
            near = bookings.between(tx, row.id, Window(after - DAY, until + 2 * DAY))
            found += regular_moments(span, club.calendar, row.settings)
            found += storing.moments(span, club.calendar)
            for booking in near:
                found += booking_moments(booking.window, club.calendar, row.settings)
            found += _chase_moments(tx, club)
            if deadline := wishes.next_deadline(tx, row.id, after):
                found.append(deadline)
        waiting = rows.next_sending(tx, after, until)
    if waiting is not None:
        found.append(waiting)
    return min((moment for moment in found if after < moment <= until), default=None)


def _chase_moments(tx: Tx, club: _Club) -> Iterator[datetime]:
    asked = rows.of_kind(tx, club.row.id, notices.LATE_ASKED, club.now - CHASED_FOR)
    wait = timedelta(minutes=club.row.settings.late_wait_minutes)
    for each in asked:
        if each.answered_at is not None:
            yield each.answered_at + SORTING_OUT
        if each.asked_at is not None:
            yield each.asked_at + wait
    grace = timedelta(minutes=club.row.settings.grace_minutes)
    for now in club.kits.values():
        if (due := now.position.due) is not None:
            tomorrow = club.calendar.day_of(max(due, club.now)) + DAY
            yield from (due, due + grace, club.calendar.instant(tomorrow, time.min))
