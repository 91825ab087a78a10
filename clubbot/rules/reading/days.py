"""Days by name and by distance: "friday", "next friday", "tomorrow", "friday week", "in 3 days"."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

from clubbot.rules.reading.lengths import length_at
from clubbot.rules.reading.pieces import Day, Found, Length
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import MONTHS, ORDINALS, WEEKDAYS

_WEEK = timedelta(days=7)
_WEEKS = {"last": -1, "this": 0, "next": 1}
_COMING = frozenset({"coming", "upcoming", "following"})
_NEAR = {"today": 0, "tonight": 0, "tomorrow": 1, "overmorrow": 2, "yesterday": -1}


def coming(weekday: int, today: date, after: int = 0) -> date:
    """The first such weekday at least `after` days from today."""
    first = today + timedelta(days=after)
    return first + timedelta(days=(weekday - first.weekday()) % 7)


def weekday_at(line: Line, at: int) -> tuple[int, bool] | None:
    """A weekday's number and whether it was said in the plural ("thursdays")."""
    low = line.low(at)
    if low in WEEKDAYS:
        return WEEKDAYS.index(low), False
    if low.removesuffix("s") in WEEKDAYS:
        return WEEKDAYS.index(low.removesuffix("s")), True
    return None


def day_at(line: Line, at: int, today: date) -> Found:
    """A day named relative to today; several options where the words fit several days."""
    return (
        _near(line, at, today)
        or _of_month(line, at, today)
        or _named_week(line, at, today)
        or _week_after(line, at, today)
        or _in_some_days(line, at, today)
        or _this_or_next(line, at, today)
        or _weekday(line, at, today)
        or _weekend(line, at, today)
    )


def _near(line: Line, at: int, today: date) -> Found:
    step = at + (line.low(at) == "the" and line.low(at + 1) == "overmorrow")
    low = line.low(step)
    if line.low(at) == "this" and line.low(at + 1) in {"morning", "afternoon", "evening"}:
        return Day((today,)), at + 1
    if line.low(at) == "same" and line.low(at + 1) == "day":
        return Day((today,)), at + 2
    if low not in _NEAR:
        return None
    day = today + timedelta(days=_NEAR[low])
    if line.low(step + 1) == "week" and low in {"today", "tomorrow"}:
        return Day((day + _WEEK,)), step + 2
    return Day((day,)), step + 1


def _of_month(line: Line, at: int, today: date) -> Found:
    """ "first friday of march", "the last saturday in november", "second monday of next month"."""
    step = at + (line.low(at) == "the")
    rank = -1 if line.low(step) == "last" else _rank(line, step)
    after = step + 1 + (line.kind(step) == "num")
    found = weekday_at(line, after)
    if not rank or found is None or line.low(after + 1) not in {"of", "in"}:
        return None
    after += 2 + (line.low(after + 2) == "the")
    low = line.low(after)
    if low in MONTHS:
        month, end = MONTHS.index(low) + 1, after + 1
        year = today.year + (month < today.month)
    elif low in {"next", "this", "month"} and "month" in (low, line.low(after + 1)):
        ahead = today.year * 12 + today.month - 1 + (low == "next")
        year, month, end = ahead // 12, ahead % 12 + 1, after + 1 + (low != "month")
    else:
        return None
    days = [date(year, month, n + 1) for n in range(calendar.monthrange(year, month)[1])]
    fits = [day for day in days if day.weekday() == found[0]]
    index = rank if rank < 0 else rank - 1
    return (Day((fits[index],)), end) if -5 < index < len(fits) else None


def _rank(line: Line, at: int) -> int:
    if line.kind(at) == "num" and line.low(at + 1) in {"st", "nd", "rd", "th"}:
        return int(line.low(at)) if line.low(at) in {"1", "2", "3", "4", "5"} else 0
    return ORDINALS.get(line.low(at), 0) if ORDINALS.get(line.low(at), 9) <= 5 else 0


def _named_week(line: Line, at: int, today: date) -> Found:
    """ "next week friday", "this week on thursday", "friday next week", "friday of next week"."""
    if line.low(at) in _WEEKS and line.low(at + 1) == "week":
        step = at + 2 + (line.low(at + 2) in {"on", "'s", ","})
        found = weekday_at(line, step)
        if found is not None:
            return _of_week(found[0], today, _WEEKS[line.low(at)]), step + 1
        return None
    found = weekday_at(line, at)
    if found is None:
        return None
    step = at + 1 + (line.low(at + 1) in {"of", "in", ",", "("})
    if line.low(step) in _WEEKS and line.low(step + 1) == "week":
        return _of_week(found[0], today, _WEEKS[line.low(step)]), step + 2
    return None


def _of_week(weekday: int, today: date, ahead: int) -> Day:
    """That weekday of this week or one `ahead` of it; weeks begin on Monday (ISO 8601)."""
    monday = today - timedelta(days=today.weekday()) + ahead * _WEEK
    return Day((monday + timedelta(days=weekday),))


def _week_after(line: Line, at: int, today: date) -> Found:
    """ "friday week", "a week on friday", "two weeks from tomorrow", "friday in a week"."""
    found = weekday_at(line, at)
    if found is not None:
        day = coming(found[0], today, 1)
        if line.low(at + 1) == "week" and line.low(at + 2) != "until":
            return Day((day + _WEEK,)), at + 2
        if line.low(at + 1) == "fortnight":
            return Day((day + 2 * _WEEK,)), at + 2
        if line.low(at + 1) == "in":
            ahead = length_at(line, at + 2)
            if ahead is not None and isinstance(ahead[0], Length) and ahead[0].days:
                return Day((day + timedelta(days=ahead[0].days),)), ahead[1]
        return None
    ahead = length_at(line, at) if line.low(at - 1) != "for" else None
    if ahead is None or not isinstance(ahead[0], Length) or not 0 < ahead[0].days < 400:
        return None
    return _counted_on(line, ahead[1], ahead[0].days, today)


def _counted_on(line: Line, step: int, days: int, today: date) -> Found:
    """The day that lies `days` after the one named from `step` on."""
    word = line.low(step)
    if word in {"from", "after", "on"} or word in _NEAR or word in WEEKDAYS:
        step += word in {"from", "after", "on"}
        word = line.low(step)
        if word == "now":
            return Day((today + timedelta(days=days),)), step + 1
        if word in _NEAR:
            return Day((today + timedelta(days=_NEAR[word] + days),)), step + 1
        found = weekday_at(line, step)
        if found is not None and days % 7 == 0 and line.low(step - 1) in {"from", "after", "on"}:
            return Day((coming(found[0], today, 1) + timedelta(days=days),)), step + 1
    return None


def _in_some_days(line: Line, at: int, today: date) -> Found:
    if line.low(at) != "in":
        return None
    ahead = length_at(line, at + 1)
    if ahead is None or not isinstance(ahead[0], Length) or not 0 < ahead[0].days < 400:
        return None
    after = ahead[1] + (line.low(ahead[1]) in {"'", "time"}) + (line.is_at(ahead[1], "'", "time"))
    target = today + timedelta(days=ahead[0].days)
    step = after + (line.low(after) == "on")
    found = weekday_at(line, step)
    if found is not None and ahead[0].days % 7 == 0:
        return Day((target + timedelta(days=found[0] - target.weekday()),)), step + 1
    return Day((target,)), after


def _this_or_next(line: Line, at: int, today: date) -> Found:
    """ "this friday", "next friday" (two ways before this week's), "last friday"."""
    step = at + (line.low(at) == "the")
    word = line.low(step)
    found = weekday_at(line, step + 1 + (line.low(step + 1) in _COMING))
    if found is None or word not in {"this", "next", "last", "past", "previous", *_COMING}:
        return None
    weekday = found[0]
    after = step + 2 + (line.low(step + 1) in _COMING)
    soon = coming(weekday, today, 1)
    if word in {"last", "past", "previous"}:
        return Day((soon - _WEEK if soon - _WEEK < today else soon - 2 * _WEEK,)), after
    if word == "next":
        if line.low(step + 1) not in _COMING and weekday > today.weekday():
            return Day((soon, soon + _WEEK)), after
        return Day((soon,)), after
    if word == "this" and weekday == today.weekday():
        return Day((today,), weekday=weekday, roll=(today + _WEEK,)), after
    return Day((soon,)), after


def _weekday(line: Line, at: int, today: date) -> Found:
    every = line.low(at) == "every"
    step = at + every + (every and line.low(at + 1) == "other")
    found = weekday_at(line, step)
    if found is None:
        return None
    weekday, plural = found
    if line.is_at(step + 1, "after", "next"):
        return Day((coming(weekday, today, 1) + _WEEK,)), step + 3
    first = coming(weekday, today)
    weekly = 2 if line.is_at(at, "every", "other") else int(every or plural)
    return Day((first,), weekday, (first + _WEEK,), weekly=weekly), step + 1


def _weekend(line: Line, at: int, today: date) -> Found:
    step = at + (line.low(at) in {"this", "the", "next", "coming"})
    if line.low(step) != "weekend":
        return None
    saturday = coming(5, today) if today.weekday() != 6 else today - timedelta(days=1)
    if line.low(at) == "next" or today.weekday() == 6:
        saturday = coming(5, today, 1)
        if line.low(at) == "next" and today.weekday() < 5:
            both = (saturday, saturday + _WEEK)
            return Day(both, 5, last=saturday + timedelta(days=1)), step + 1
    return Day((saturday,), 5, last=saturday + timedelta(days=1)), step + 1
