"""Which notices fall due when: the calendar side of reminders, without anybody's state.

Each rule answers for one thing; a due moment is an instant, and a moment's occurrence names it so
that the same one is never made twice. Quiet hours shift the sending, never the due moment.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from clubbot.rules.calendar import DAY, ClubCalendar, after_quiet, days
from clubbot.rules.model import Role, Window
from clubbot.rules.settings import ClubSettings

_WEEK = 7
SORTING_OUT = timedelta(minutes=10)
"""How long an adult who said that some are missing has to tap those that turned up."""


@dataclass(frozen=True, slots=True)
class Due:
    """A moment at which something is owed, and until when it is still of use."""

    at: datetime
    useful_until: datetime
    occurrence: str


def evening_before(window: Window, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when a booking's people are reminded of it: the evening before its first day."""
    day = calendar.day_of(window.start) - DAY
    return Due(calendar.instant(day, settings.evening_at), window.start, day.isoformat())


def due_soon(due: datetime, settings: ClubSettings) -> Due:
    """Return when those who have a kit are told that it is due."""
    at = due - timedelta(minutes=settings.due_soon_minutes)
    return Due(at, due + timedelta(minutes=settings.grace_minutes), due.isoformat())


@dataclass(frozen=True, slots=True)
class Chase:
    """The moments at which a late kit is asked after, each step once.

    `adult`: the session's adult, about all at once; `holder`: who has it, when the adult said
    that it is missing or didn't answer; `morning`: the holder again, on the next open day;
    `leader`: the leaders, on the open day after that.
    """

    adult: Due
    holder: Due | None
    morning: Due | None
    leader: Due | None


def chase(
    due: datetime,
    calendar: ClubCalendar,
    settings: ClubSettings,
    *,
    asked_at: datetime | None,
    missing_since: datetime | None,
) -> Chase:
    """Return the steps of chasing a kit that was due then.

    `asked_at` is when the adult was really asked, `missing_since` when they said that it is
    missing; until one of them is known nobody else is chased.
    """
    late = due + timedelta(minutes=settings.grace_minutes)
    adult = Due(late, late + 7 * DAY, due.isoformat())
    holder_at = missing_since + SORTING_OUT if missing_since is not None else None
    if holder_at is None and asked_at is not None:
        holder_at = asked_at + timedelta(minutes=settings.late_wait_minutes)
    if holder_at is None:
        return Chase(adult, None, None, None)
    first = calendar.next_open_day(calendar.day_of(holder_at))
    second = calendar.next_open_day(first)
    morning_at = calendar.instant(first, settings.morning_at)
    leader_at = calendar.instant(second, settings.morning_at)
    return Chase(
        adult=adult,
        holder=Due(holder_at, morning_at, due.isoformat()),
        morning=Due(morning_at, leader_at, due.isoformat()),
        leader=Due(leader_at, leader_at + 7 * DAY, due.isoformat()),
    )


def charge_list(week_of: date, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when the charge list of a day's ISO week goes out: its weekday, or an open day before.

    In a week whose days are all closed up to the usual one it waits for the next open day, but
    where a session is on that day already: then the club needs it before. On a day with a session
    it waits until that is over, so that it knows what was used.
    """
    year, week, _ = week_of.isocalendar()
    usual = date.fromisocalendar(year, week, settings.charge_list_weekday + 1)
    monday = date.fromisocalendar(year, week, 1)
    until = calendar.instant(monday + 7 * DAY, time(12))
    occurrence = f"{year}-W{week:02}"
    day = next((d for d in reversed(list(days(monday, usual))) if not calendar.closed(d)), None)
    if day is None:
        back = calendar.next_open_day(usual)
        if not calendar.sessions(back, back):
            at = calendar.instant(back, settings.morning_at)
            return Due(at, max(until, at + DAY), occurrence)
    day = day or usual
    at = calendar.instant(day, settings.charge_list_at)
    at = max([at, *(session.window.end for session in calendar.sessions(day, day))])
    return Due(at, until, occurrence)


def morning_list(day: date, calendar: ClubCalendar, settings: ClubSettings) -> Due | None:
    """Return when the adults get a session day's list, or None on a day without a session."""
    sessions = calendar.sessions(day, day)
    if not sessions:
        return None
    at = calendar.instant(day, settings.morning_at)
    return Due(at, sessions[-1].window.end, day.isoformat())


def only_leader(day: date, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when a club's only leader is told so: with a quarter's first charge list.

    How seldom is common practice, no source.
    """
    quarter = (day.month - 1) // 3
    first = date(day.year, 3 * quarter + 1, 1)
    at = charge_list(first, calendar, settings).at
    if calendar.day_of(at) < first:
        at = charge_list(first + 7 * DAY, calendar, settings).at
    return Due(at, at + 3 * DAY, f"{day.year}-Q{quarter + 1}")


def teardown(window: Window, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when the adults hear that a keep ends: in the morning of its last day."""
    day = calendar.day_of(window.end)
    at = calendar.instant(day, settings.morning_at)
    return Due(at, window.end + DAY, day.isoformat())


def sending_time(
    at: datetime, role: Role, calendar: ClubCalendar, settings: ClubSettings
) -> datetime:
    """Return when a notice due then may be sent: at once, or when the quiet hours are over.

    For students and helpers a weekend is quiet too, but for days on which the club meets.
    """
    if role not in (Role.STUDENT, Role.HELPER):
        return after_quiet(at, calendar.zone, settings.quiet_from, settings.quiet_to)
    for _ in range(_WEEK):
        at = after_quiet(at, calendar.zone, settings.student_quiet_from, settings.student_quiet_to)
        day = calendar.day_of(at)
        if day.weekday() < 5 or calendar.sessions(day, day):
            break
        at = calendar.instant(day + DAY, time(0))
    return after_quiet(at, calendar.zone, settings.student_quiet_from, settings.student_quiet_to)


def regular_moments(
    window: Window, calendar: ClubCalendar, settings: ClubSettings
) -> Iterator[datetime]:
    """Yield the moments in a window at which the calendar alone may make something due."""
    first, last = calendar.day_of(window.start), calendar.day_of(window.end)
    for day in days(first, last):
        yield calendar.instant(day, settings.morning_at)
        yield charge_list(day, calendar, settings).at


def booking_moments(
    window: Window, calendar: ClubCalendar, settings: ClubSettings
) -> Iterator[datetime]:
    """Yield the moments that one booking may make due."""
    late = window.end + timedelta(minutes=settings.grace_minutes)
    yield evening_before(window, calendar, settings).at
    yield due_soon(window.end, settings).at
    yield late
    yield late + timedelta(minutes=settings.late_wait_minutes)
