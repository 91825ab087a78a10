"""The sweep: which notices have become due, for every club, each found afresh from what stands.

It looks back as far as a moment is still of use, not just to the last sweep, so that a cause that
is said late, or a night without the bot, still has its effect; the notices' own keys keep it from
making one twice. One short transaction a club.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from clubbot.desk import (
    busy,
    charging,
    chasing,
    left_on,
    notices,
    ordering,
    replanning,
    stalled,
    storing,
    succession,
    versions,
    waiting,
    wearing,
)
from clubbot.desk.acting import by_the_clock
from clubbot.desk.swept import Swept, holders_of
from clubbot.rules.calendar import DAY
from clubbot.rules.late import is_late
from clubbot.rules.model import Window
from clubbot.rules.reminding import (
    booking_moments,
    charge_list,
    due_soon,
    evening_before,
    morning_list,
    regular_moments,
    teardown,
)
from clubbot.rules.versions import notice_moments
from clubbot.store import bookings, clubs, people, swaps, wishes
from clubbot.store import notices as rows
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Store, StoreUnavailable, Tx
from clubbot.store.kits import kits
from clubbot.store.notices import NewNotice

log = logging.getLogger(__name__)

_NONE = timedelta(0)
HORIZON = timedelta(hours=26)
"""How far around now bookings are looked at: a day, and the hour that a clock change may add."""


def sweep(store: Store, now: datetime) -> int:
    """Queue every notice that has become due; return how many are new."""
    with store.read() as tx:
        everyone = clubs.everyone(tx)
    added = 0
    for row in everyone:
        try:
            added += _of_club(store, row, now)
        except StoreUnavailable:
            raise
        except Exception:
            # The other clubs' notices, and what is owed already, don't wait for this one's trouble.
            reference = secrets.token_hex(3)
            log.exception("The sweep of club %d failed, reference %s", row.id, reference)
    return added


def _of_club(store: Store, row: ClubRow, now: datetime) -> int:
    with store.read() as tx:
        club = _load(tx, row, now)
        found = list(_due(club, tx))
        over = bool(wishes.overdue(tx, row.id, now))
        spoiled = _spoils(club)
    if not (found or over or spoiled):
        return 0
    with store.write() as tx:
        clubs.lock(tx, row.id)
        added = rows.add(tx, row.id, found)
        who = by_the_clock(row, now)
        if over:
            waiting.expire(tx, who)
        if spoiled:
            replanning.plan_anew(tx, who)
    return added


def _spoils(club: Swept) -> bool:
    """Say whether a kit that should be back by now is still chosen for another booking of today.

    Until the grace time is over kits are carried in or passed on, and nobody is alarmed but those
    whose booking begins before that: they hear early.
    """
    grace = timedelta(minutes=club.row.settings.grace_minutes)
    overdue = {kit: now for kit, now in club.kits.items() if is_late(now.position, club.now, _NONE)}
    today = club.calendar.day_of(club.now)
    for booking in club.bookings:
        if club.calendar.day_of(booking.window.start) != today or booking.window.end <= club.now:
            continue
        for kit in overdue.keys() & set(booking.chosen):
            position = overdue[kit].position
            due = position.due or club.now
            left = _NONE if club.now < booking.window.start <= due + grace else grace
            if position.booking != booking.id and is_late(position, club.now, left):
                return True
    return False


def _load(tx: Tx, row: ClubRow, now: datetime) -> Swept:
    return Swept(
        row=row,
        now=now,
        calendar=clubs.calendar(tx, row.id, row.zone),
        roles={person.id: person.role for person in people.people(tx, row.id)},
        members=notices.company(tx, row.id),
        kits=kits(tx, row.id),
        bookings=tuple(bookings.between(tx, row.id, Window(now - HORIZON, now + HORIZON + DAY))),
    )


def _due(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    yield from _tomorrow(club, tx)
    yield from _due_soon(club)
    yield from chasing.late(club, tx)
    yield from _charge_list(club, tx)
    yield from _morning_list(club)
    yield from _teardown(club)
    yield from storing.due(club)
    yield from wearing.due(club)
    yield from busy.due(club)
    yield from left_on.due(club, tx)
    yield from stalled.due(club, tx)
    yield from ordering.due(club, tx)
    yield from succession.due(club)
    yield from versions.due(club)


def _tomorrow(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    owed = swaps.owed(tx, club.row.id, [booking.id for booking in club.bookings])
    for booking in club.bookings:
        due = evening_before(booking.window, club.calendar, club.row.settings)
        if booking.kind == "use" and booking.booked_at < due.at and club.fresh(due):
            for person in holders_of(club, booking):
                told = club.notice(notices.TOMORROW, f"booking {booking.id}", due, person)
                yield replace(told, facts={"gone": owed.get(booking.id, [])})


def _due_soon(club: Swept) -> Iterator[NewNotice]:
    out = {now.position.booking for now in club.kits.values()}
    for booking in club.bookings:
        if booking.id in out:
            due = due_soon(booking.window.end, club.row.settings)
            if club.fresh(due):
                for person in holders_of(club, booking):
                    if not club.roles[person].adult:
                        yield club.notice(notices.DUE_SOON, f"booking {booking.id}", due, person)


def _charge_list(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    today = club.calendar.day_of(club.now)
    for week_of in (today - 7 * DAY, today):
        due = charge_list(week_of, club.calendar, club.row.settings)
        day = club.calendar.day_of(due.at)
        if club.fresh(due) and charging.owed(tx, club.row.id, club.calendar, day):
            for person in club.adults:
                yield club.notice(notices.CHARGE_LIST, "week", due, person)


def _morning_list(club: Swept) -> Iterator[NewNotice]:
    day = club.calendar.day_of(club.now)
    due = morning_list(day, club.calendar, club.row.settings)
    if due is None or not club.fresh(due):
        return
    sessions = club.calendar.sessions(day, day)
    known = [booking for booking in club.bookings if booking.booked_at < due.at]
    if any(b.window.overlaps(s.window) for b in known for s in sessions):
        for person in club.adults:
            yield club.notice(notices.MORNING_LIST, "day", due, person)


def _teardown(club: Swept) -> Iterator[NewNotice]:
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
            found += notice_moments(span, club.calendar, row.settings)
            for booking in near:
                found += booking_moments(booking.window, club.calendar, row.settings)
            found += chasing.moments(tx, club)
            if deadline := wishes.next_deadline(tx, row.id, after):
                found.append(deadline)
        waiting = rows.next_sending(tx, after, until)
    if waiting is not None:
        found.append(waiting)
    return min((moment for moment in found if after < moment <= until), default=None)
