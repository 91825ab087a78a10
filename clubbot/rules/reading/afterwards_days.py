"""Days that a line typed afterwards names: all of them have come."""

from __future__ import annotations

import re
from datetime import date, timedelta

from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import MONTHS, WEEKDAYS

_DAY = timedelta(days=1)


def past_day_at(line: Line, at: int, today: date, day_first: bool) -> tuple[date, int] | None:
    """Return a day named here and the place after it; a bare weekday is the last one there was.

    `day_first` decides what 9/10 means.
    """
    step = at + (line.low(at) in {"on", "last"})
    found = _named_day(line, step, today) or _dated(line, step, today, day_first)
    if found is None:
        return None
    day, after = found
    if line.low(at) == "last" and day == today:
        day -= 7 * _DAY
    return day, after


def _named_day(line: Line, at: int, today: date) -> tuple[date, int] | None:
    low = line.low(at)
    if low in ("today", "tonight"):
        return today, at + 1
    if low == "yesterday":
        return today - _DAY, at + 1
    if low in WEEKDAYS:
        back = (today.weekday() - WEEKDAYS.index(low)) % 7
        dated = _month_day(line, at + 1, today)
        return dated or (today - back * _DAY, at + 1)
    return _month_day(line, at, today)


def _month_day(line: Line, at: int, today: date) -> tuple[date, int] | None:
    """ "9 Oct", "9th October", "Oct 9": the newest such day that isn't to come."""
    at += line.low(at) == "the"
    for day_at, month_at in ((at, at + 1), (at, at + 2), (at + 1, at)):
        ordinal = month_at == at + 2
        if ordinal and line.low(at + 1) not in {"th", "st", "nd", "rd", "of"}:
            continue
        if line.kind(day_at) == "num" and line.low(month_at) in MONTHS:
            month = MONTHS.index(line.low(month_at)) + 1
            day = _newest(int(line.low(day_at)), month, today)
            return (day, max(day_at, month_at) + 1) if day else None
    return None


def _newest(day: int, month: int, today: date) -> date | None:
    for year in (today.year, today.year - 1):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found <= today:
            return found
    return None


def _dated(line: Line, at: int, today: date, day_first: bool) -> tuple[date, int] | None:
    kind, low = line.kind(at), line.low(at)
    if kind == "iso":
        try:
            return date(*(int(part) for part in re.split(r"\D", low))), at + 1
        except ValueError:
            return None
    if kind == "slash":
        left, right = (int(part) for part in low.split("/"))
        day = _newest(*((left, right) if day_first else (right, left)), today)
        return (day, at + 1) if day else None
    return None
