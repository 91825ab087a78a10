"""Keeping batteries alive while nobody uses them: before breaks, and the charge now and then.

Lithium-ion batteries last longest stored about half full, in the cool and dry, and die where they
are left empty: public advice is about 50 %, a look every three months and a top-up (Health Canada;
reference tables of ageing after a year at 40 and at 100 %). The maker's guide comes first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from clubbot.rules.calendar import DAY, ClubCalendar, Session
from clubbot.rules.energy.assumed import USUAL
from clubbot.rules.energy.belief import Belief
from clubbot.rules.reminding import Due
from clubbot.rules.settings import ClubSettings

LONG_BREAK = 14 * DAY
"""Common practice, no source: a shorter break needs nothing."""
LONGEST_REST = 90 * DAY
"""At least a charge in three months; moved to an earlier open day, never to a later one."""
FLOOR = 0.2
HALF = (0.4, 0.7)
"""Levels that may be left as they are for a break."""
_AHEAD = 120 * DAY
_BEFORE_THE_END = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Break:
    """The last session before a long break, and the first after it; None: not in sight."""

    last: Session
    first: Session | None


def break_from(calendar: ClubCalendar, day: date) -> Break | None:
    """Return the long break that begins with a day's last session, if one does."""
    today = calendar.sessions(day, day)
    if not today:
        return None
    later = calendar.sessions(day + DAY, day + _AHEAD)
    first = later[0] if later else None
    if first is not None and first.day - day < LONG_BREAK:
        return None
    return Break(today[-1], first)


def storage_due(calendar: ClubCalendar, day: date) -> Due | None:
    """Return when the adults hear what to do before a long break: as its last session ends."""
    found = break_from(calendar, day)
    if found is None:
        return None
    end = found.last.window.end
    return Due(end - _BEFORE_THE_END, end + DAY, day.isoformat())


def top_up_by(charged_at: datetime, calendar: ClubCalendar) -> date:
    """Return the last open day on which a battery that nobody uses must be charged again."""
    return open_day_by(calendar, calendar.day_of(charged_at) + LONGEST_REST)


def open_day_by(calendar: ClubCalendar, day: date) -> date:
    """Return a day, or the last open day before it; itself where none is in three months."""
    steps = range(LONGEST_REST // DAY)
    return next((day - n * DAY for n in steps if calendar.open_day(day - n * DAY)), day)


def floor_by(belief: Belief, today: date) -> date:
    """Return the day on which a battery at rest may reach the floor, one time in ten or sooner."""
    spare = max(0.0, belief.level.low - FLOOR)
    fast = USUAL.rest_per_day * (1 + USUAL.rest_spread)
    return today + min(LONGEST_REST, int(spare / fast) * DAY)


def top_up_due(
    charges: Iterable[datetime], calendar: ClubCalendar, settings: ClubSettings, now: datetime
) -> Due | None:
    """Return when the adults hear today that batteries need a charge, or None where none does.

    `charges` are the last charges of all kits that nothing stands against, or since when a kit is
    known of which no charge is. They hear it on an open day, once a week at most, until it is done.
    """
    today = calendar.day_of(now)
    if not calendar.open_day(today):
        return None
    if not any(top_up_by(at, calendar) <= today for at in charges):
        return None
    year, week, _ = today.isocalendar()
    at = calendar.instant(today, settings.morning_at)
    return Due(at, calendar.instant(today + DAY, time.min), f"{year}-W{week:02}")


def storage_moments(calendar: ClubCalendar, first: date, last: date) -> list[datetime]:
    """Return the moments from first to last day at which a long break may have something due."""
    found = calendar.sessions(first, last + _AHEAD)
    ends = [
        before.window.end
        for before, after in pairwise([*found, None])
        if before is not None and (after is None or after.day - before.day >= LONG_BREAK)
    ]
    return [end - _BEFORE_THE_END for end in ends if calendar.day_of(end) <= last]
