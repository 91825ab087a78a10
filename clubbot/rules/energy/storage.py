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
from typing import Literal

from clubbot.rules.calendar import DAY, ClubCalendar, Session
from clubbot.rules.energy.assumed import USUAL
from clubbot.rules.energy.belief import Belief
from clubbot.rules.reminding import Due
from clubbot.rules.settings import ClubSettings

LONG_BREAK = 14 * DAY
"""Common practice, no source: a shorter break needs nothing."""
LONGEST_REST = 90 * DAY
"""At least a charge in three months; moved to an earlier open day where there is one in the second
half of that time, never to a later one."""
FLOOR = 0.2
HALF = (0.4, 0.7)
"""Levels that may be left as they are for a break."""
HALF_FULL = sum(HALF) / 2
"""To what others are charged."""
_FAST = USUAL.rest_per_day * (1 + USUAL.rest_spread)
"""What a battery loses a day at rest, one time in ten or more."""
_UNKNOWN = 0.5
"""One whose level is known no better than this, somebody has to look at."""
REST_FROM_HALF = 70 * DAY
"""One that shows half is above the floor for so long, nine times in ten or more."""
_AHEAD = 300 * DAY
"""A longer break is a club at its end."""
_LISTED = 7 * DAY
"""For a session as near as this the charge list says what is to be charged."""
_BEFORE_THE_END = timedelta(minutes=30)


Group = Literal["low", "half", "full", "unknown"]


@dataclass(frozen=True, slots=True)
class Break:
    """The last session before a long break, and the first after it; None: not in sight."""

    last: Session
    first: Session | None


def break_from(calendar: ClubCalendar, day: date) -> Break | None:
    """Return the long break that begins with a day's last session, if one does."""
    today = calendar.sessions(day, day)
    if not today or calendar.sessions(day + DAY, day + LONG_BREAK - DAY):
        return None
    later = calendar.sessions(day + LONG_BREAK, day + _AHEAD)
    return Break(today[-1], later[0] if later else None)


def break_at(calendar: ClubCalendar, day: date) -> Break | None:
    """Return the long break that a day without a session lies in, if any."""
    back = (day - n * DAY for n in range(1, _AHEAD // DAY))
    last = next((each for each in back if calendar.sessions(each, each)), None)
    if last is None or calendar.sessions(day, day):
        return None
    return break_from(calendar, last)


def storage_due(calendar: ClubCalendar, day: date) -> Due | None:
    """Return when the adults hear what to do before a long break: as its last session ends."""
    found = break_from(calendar, day)
    if found is None:
        return None
    end = found.last.window.end
    return Due(end - _BEFORE_THE_END, end + DAY, day.isoformat())


def left_to_store(calendar: ClubCalendar, day: date, settings: ClubSettings) -> Due | None:
    """Return when the adults hear what nobody noted as done: on the first open day of a break."""
    rests = break_at(calendar, day) if calendar.open_day(day) else None
    if rests is None or calendar.next_open_day(rests.last.day) != day:
        return None
    if rests.first is not None and rests.first.day - day <= _LISTED:
        return None
    return Due(calendar.instant(day, settings.morning_at), _midnight(calendar, day), str(day))


def _midnight(calendar: ClubCalendar, day: date) -> datetime:
    return calendar.instant(day + DAY, time.min)


def top_up_by(charged_at: datetime, calendar: ClubCalendar, rests: Break | None = None) -> date:
    """Return the last open day on which a battery that nobody uses must be charged again.

    One that `rests` through a break since its last charge may have begun it no more than half full.
    A closed day where there is no open one in that time: then somebody has to come in.
    """
    charged = calendar.day_of(charged_at)
    by = _open_within(calendar, charged, LONGEST_REST)
    if rests is None or charged > rests.last.day:
        return by
    half = _open_within(calendar, rests.last.day, REST_FROM_HALF)
    if rests.first is not None and half >= rests.first.day:
        return by
    # What was to be done before the break was told before it.
    return half if by <= rests.last.day else min(by, half)


def storing_group(belief: Belief, rests: Break) -> Group:
    """Return how full a battery is for resting through a break that begins now.

    low: too empty, or it might be at the floor before anybody must come in; unknown: it may have
    nearly any level.
    """
    level, day = belief.level, rests.last.day
    if level.high - level.low > _UNKNOWN:
        return "unknown"
    needed = day + REST_FROM_HALF
    if rests.first is not None:
        needed = min(needed, rests.first.day)
    if level.middle < HALF[0] or floor_by(belief, day) < needed:
        return "low"
    return "full" if level.middle > HALF[1] else "half"


def visit_by(
    belief: Belief | None, charged_at: datetime, calendar: ClubCalendar, rests: Break
) -> date:
    """Return by when one must be charged that rests through a break from now on.

    Before it may reach the floor, and within three months. None: it is left about half full.
    """
    by = top_up_by(charged_at, calendar)
    if belief is not None and floor_by(belief, rests.last.day) >= by:
        return by
    return top_up_by(charged_at, calendar, rests)


def _open_within(calendar: ClubCalendar, start: date, span: timedelta) -> date:
    """Return the last open day of a span's second half, or its last day; none is due sooner."""
    return open_day_by(calendar, start + span, start + span / 2)


def open_day_by(calendar: ClubCalendar, day: date, after: date) -> date:
    """Return a day, or the last open day before it; itself where none is left `after` another."""
    steps = range((day - after).days)
    return next((day - n * DAY for n in steps if calendar.open_day(day - n * DAY)), day)


def floor_by(belief: Belief, today: date) -> date:
    """Return the day on which a battery at rest may reach the floor, one time in ten or sooner."""
    spare = max(0.0, belief.level.low - FLOOR)
    return today + min(LONGEST_REST, int(spare / _FAST) * DAY)


def top_up_due(
    charges: Iterable[datetime], calendar: ClubCalendar, settings: ClubSettings, now: datetime
) -> Due | None:
    """Return when the adults hear today that batteries need a charge, or None where none does.

    `charges` are the last charges of all kits that nothing stands against, or since when a kit is
    known of which no charge is. They hear it on an open day, or on a closed one where no open one
    came before it, once a week at most, until it is done.
    """
    today = calendar.day_of(now)
    rests = break_at(calendar, today)
    late = [by for at in charges if (by := top_up_by(at, calendar, rests)) <= today]
    if not late or not (calendar.open_day(today) or not all(map(calendar.open_day, late))):
        return None
    year, week, _ = today.isocalendar()
    at = calendar.instant(today, settings.morning_at)
    return Due(at, _midnight(calendar, today), f"{year}-W{week:02}")


def storage_moments(calendar: ClubCalendar, first: date, last: date) -> list[datetime]:
    """Return the moments from first to last day at which a long break may have something due."""
    found = calendar.sessions(first, last + _AHEAD)
    ends = [
        before.window.end
        for before, after in pairwise([*found, None])
        if before is not None and (after is None or after.day - before.day >= LONG_BREAK)
    ]
    return [end - _BEFORE_THE_END for end in ends if calendar.day_of(end) <= last]
