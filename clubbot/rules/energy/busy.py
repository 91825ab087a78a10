"""Busy days: several sessions back to back, and when the adults hear what that asks for."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from clubbot.rules.calendar import DAY, ClubCalendar, Session
from clubbot.rules.reminding import Due, charge_list, morning_list
from clubbot.rules.settings import ClubSettings

BACK_TO_BACK = timedelta(minutes=75)
"""Less than this between two sessions leaves no time for a charge without a plan; common practice,
no source."""


def busy(calendar: ClubCalendar, day: date) -> tuple[Session, ...]:
    """Return a day's sessions if two of them or more are back to back, else none."""
    sessions = calendar.sessions(day, day)
    near = (
        later.window.start - before.window.end < BACK_TO_BACK
        for before, later in pairwise(sessions)
    )
    return tuple(sessions) if any(near) else ()


def busy_due(calendar: ClubCalendar, day: date, settings: ClubSettings) -> Due | None:
    """Return when the adults hear of a busy day: the day before, with another message if it can be.

    That is the morning's list, or the week's charge list; else it comes in the evening.
    """
    sessions = busy(calendar, day)
    if not sessions:
        return None
    eve = day - DAY
    morning, weekly = morning_list(eve, calendar, settings), charge_list(eve, calendar, settings)
    at = calendar.instant(eve, settings.evening_at)
    if calendar.day_of(weekly.at) == eve:
        at = weekly.at
    if morning is not None:
        at = morning.at
    return Due(at, sessions[0].window.start, day.isoformat())
