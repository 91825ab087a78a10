"""Kits that are late: who is asked about them, in which order, and when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta

from clubbot.desk import notices
from clubbot.desk.swept import Swept, holders_of
from clubbot.rules.calendar import DAY
from clubbot.rules.late import is_late
from clubbot.rules.model import PersonId, Window
from clubbot.rules.reminding import SORTING_OUT, chase
from clubbot.store import bookings
from clubbot.store import notices as rows
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.notices import NewNotice

CHASED_FOR = timedelta(days=21)
"""How long after the asking the answer to it still counts."""
MORNING = timedelta(hours=2)
"""A reminder that quiet hours hold back to this close before the next one is left to that."""


def late(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    """Yield what is owed about kits that are late, each step of the ladder once."""
    grace = timedelta(minutes=club.row.settings.grace_minutes)
    overdue = [now for now in club.kits.values() if is_late(now.position, club.now, grace)]
    if not overdue:
        return
    asked = rows.of_kind(tx, club.row.id, notices.LATE_ASKED, club.now - CHASED_FOR)
    ids = [now.position.booking for now in overdue if now.position.booking]
    standing = bookings.by_id(tx, club.row.id, ids)
    for now in overdue:
        booking = standing.get(now.position.booking) if now.position.booking else None
        yield from _chased(club, now, booking, asked)


def _chased(
    club: Swept, now: KitNow, booking: LiveBooking | None, asked: list[rows.NoticeRow]
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
        (notices.LATE_LEADER, steps.leader, club.leaders),
    )
    for kind, step, receivers in ladder:
        if step is not None and club.fresh(step):
            owed = (club.notice(kind, subject, step, person) for person in receivers)
            yield from (each for each in owed if kind != notices.LATE_HOLDER or _evening(each))


def _evening(notice: NewNotice) -> bool:
    """Say whether a notice leaves before its use is over; in the morning a second one would."""
    return notice.send_at + MORNING < notice.useful_until


def _whose(
    club: Swept, now: KitNow, booking: LiveBooking | None
) -> tuple[list[PersonId], list[PersonId]]:
    """Return the session's adults, and who has a late kit, of those in the chat."""
    since, due = now.position.out_since, now.position.due
    if booking is not None:
        return _session_adults(club, booking.window), holders_of(club, booking)
    team = club.members.get(now.position.team, []) if now.position.team else []
    adults = club.leaders
    if since is not None and due is not None and since < due:
        adults = _session_adults(club, Window(since, due))
    return adults, [person for person in team if person in club.roles]


def _session_adults(club: Swept, window: Window) -> list[PersonId]:
    session = club.calendar.session_with(window)
    if session is not None and session.adult in club.roles:
        return [session.adult]
    return club.leaders


def moments(tx: Tx, club: Swept) -> Iterator[datetime]:
    """Yield the moments at which a step may become due, for what is out or asked about now."""
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
