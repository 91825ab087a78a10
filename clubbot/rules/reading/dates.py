"""Dates by number and name: "9 oct", "october 9th 2026", "9/10", "9.10.", "the 9th", "9-12 oct"."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

from clubbot.rules.reading.pieces import Day, Found, Other
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import MONTHS, NUMBER_WORDS, ORDINALS, TENS, TO, words
from clubbot.rules.reading.zones import Order

# What may be "the 3rd" or "the first" without being a day.
_RANKED = frozenset(
    words(
        "floor kit robot unit session team time lesson period one group half attempt try week "
        "place bit part round thing lot class form year grade graders grader hour meeting set"
    )
)
_SUFFIXES = frozenset({"st", "nd", "rd", "th"})


def a_date(year: int, month: int, day: int) -> date | None:
    """The date, or None where the calendar has no such day."""
    if not (1 <= month <= 12 and 1 <= year <= 9998):
        return None
    return date(year, month, day) if 1 <= day <= calendar.monthrange(year, month)[1] else None


def nearest(month: int, day: int, today: date) -> date | None:
    """The date without a year that lies closest to today, so that it may be in the past."""
    near = [a_date(today.year + step, month, day) for step in (-1, 0, 1)]
    return min(
        (each for each in near if each is not None),
        key=lambda each: (abs((each - today).days), each < today),
        default=None,
    ) or next(
        (found for step in range(2, 9) if (found := a_date(today.year + step, month, day))), None
    )


def ordinal_at(line: Line, at: int) -> tuple[int, int] | None:
    """A day of the month as a rank ("9th", "ninth", "twenty-first") and the token after it."""
    if line.kind(at) == "num" and line.raw(at + 1).lower() in _SUFFIXES and line.glued(at + 1):
        value = int(line.low(at)) if len(line.low(at)) <= 2 else 0
        return (value, at + 2) if 1 <= value <= 31 else None
    word = line.low(at)
    if word in ORDINALS:
        return ORDINALS[word], at + 1
    if word in TENS:
        step = at + 1 + (line.low(at + 1) == "-")
        ones = ORDINALS.get(line.low(step), 0)
        if 0 < ones < 10 and TENS[word] + ones <= 31:
            return TENS[word] + ones, step + 1
    return None


def _month(line: Line, at: int) -> int:
    word = line.low(at)
    return MONTHS.index(word) + 1 if word in MONTHS and line.kind(at) == "word" else 0


def _month_day(line: Line, at: int) -> tuple[int, int] | None:
    """A number that may be a day beside a month's name: 9, 9th, nine, ninth."""
    found = ordinal_at(line, at)
    if found is not None:
        return found
    if line.kind(at) == "num" and len(line.low(at)) <= 2 and 1 <= int(line.low(at)) <= 31:
        return int(line.low(at)), at + 1
    value = NUMBER_WORDS.get(line.low(at), 0)
    return (value, at + 1) if 1 <= value <= 31 else None


def _year_at(line: Line, at: int, today: date) -> tuple[int | None, int]:
    """A year after a day and month; 1730 or 2030 there would be a time of day."""
    step = at + (line.low(at) in {",", "'"})
    low = line.low(step)
    if line.kind(step) == "num" and len(low) == 4 and abs(int(low) - today.year) <= 3:
        return int(low), step + 1
    if line.low(at) == "'" and line.kind(step) == "num" and len(low) == 2:
        return 2000 + int(low), step + 1
    return None, at


def date_at(line: Line, at: int, today: date, order: Order) -> Found:
    """A calendar date, or a span of days inside one month."""
    step = at + (line.low(at) == "the")
    if line.is_at(step, "last", "day", "of") and (month := _month(line, step + 3)):
        last = nearest(month, 28, today) or today
        return Day((last.replace(day=calendar.monthrange(last.year, month)[1]),)), step + 4
    return (
        _numeric(line, step, today, order)
        or _day_month(line, step, today)
        or _month_first(line, step, today)
        or _day_alone(line, at, today)
    )


def _spanned(first: date | None, last: date | None) -> Day | None:
    if first is None or (last is not None and last < first):
        return None
    return Day((first,), last=last)


def _placed(year: int | None, month: int, day: int, today: date) -> date | None:
    return a_date(year, month, day) if year is not None else nearest(month, day, today)


def _day_month(line: Line, at: int, today: date) -> Found:
    """ "9 oct", "9th of october 2026", "9-12 october", "9th to 12th of oct"."""
    first = _month_day(line, at)
    if first is None:
        return None
    after, last_day = first[1], 0
    chosen = line.low(after) in {"or", "and", "&"}
    spans = line.low(after) in TO and line.low(at - 1) not in TO
    if (spans or chosen) and (second := _month_day(line, after + 1)) is not None:
        last_day, after = second[0], second[1]
    after += line.low(after) in {".", "-"} and _month(line, after + 1) > 0
    after += line.low(after) == "day"
    after += line.low(after) == "of"
    month = _month(line, after)
    if not month or (last_day and last_day <= first[0]):
        return None
    if chosen:
        return _either_day(line, (first[0], last_day), month, after + 1, today)
    step = (
        after
        + 1
        + (
            line.low(after + 1) in {".", "-"}
            and line.glued(after + 1)
            and line.kind(after + 2) == "num"
            and line.glued(after + 2)
        )
    )
    year, end = _year_at(line, step, today)
    start = _placed(year, month, first[0], today)
    last = _placed(year, month, last_day, today) if last_day else None
    return _spanned(start, last) or Other(), end if year else after + 1


def _either_day(line: Line, numbers: tuple[int, int], month: int, after: int, today: date) -> Found:
    """ "9 or 10 december"."""
    year, end = _year_at(line, after, today)
    days = [_placed(year, month, number, today) for number in numbers]
    options = tuple(day for day in days if day is not None)
    return (Day(options), end) if options else None


def _month_first(line: Line, at: int, today: date) -> Found:
    """ "october 9", "oct. the 9th, 2026", "october 9-12"."""
    month = _month(line, at) if line.low(at - 1) != "of" else 0
    if not month:
        return None
    step = at + 1 + (line.low(at + 1) == "." and line.glued(at + 1))
    step += line.low(step) == "the"
    first = _month_day(line, step)
    if first is None or _starts_time(line, first[1]):
        return None
    after, last_day = first[1], 0
    second = _month_day(line, after + 1) if line.low(after) in TO else None
    if second is not None and second[0] > first[0] and not _starts_time(line, second[1]):
        last_day, after = second
    year, end = _year_at(line, after, today)
    start = _placed(year, month, first[0], today)
    last = _placed(year, month, last_day, today) if last_day else None
    return _spanned(start, last) or Other(), end


def _starts_time(line: Line, after: int) -> bool:
    return line.low(after) in {"am", "pm", "o'clock"} or (
        line.low(after) in {"a", "p", "h"} and line.glued(after)
    )


def _numeric(line: Line, at: int, today: date, order: Order) -> Found:
    kind, low = line.kind(at), line.low(at)
    if kind == "iso":
        year, month, day = (
            int(part) for part in low.replace("/", "-").replace(".", "-").split("-")
        )
        found = a_date(year, month, day)
        return (Day((found,)), at + 1) if found else None
    if kind == "date":
        sep = next(sign for sign in "/.-" if sign in low)
        left, right, year = (int(part) for part in low.split(sep))
        year += 2000 if year < 100 else 0
        options = pair_dates(left, right, year, today, "day-first" if sep == "." else order)
        return (Day(options), at + 1) if options else None
    if kind == "slash":
        left, right = (int(part) for part in low.split("/"))
        options = pair_dates(left, right, None, today, order)
        return (Day(options), at + 1) if options else None
    return None


def pair_dates(
    left: int, right: int, year: int | None, today: date, order: Order
) -> tuple[date, ...]:
    """What a pair of numbers can be as day and month, the zone's own order first."""
    day_first = _placed(year, right, left, today)
    month_first = _placed(year, left, right, today)
    if order == "either":
        both = sorted({each for each in (day_first, month_first) if each is not None})
        ahead = [each for each in both if each >= today]
        return tuple(ahead or both)
    likely, other = (month_first, day_first) if order == "month-first" else (day_first, month_first)
    chosen = likely or other
    return (chosen,) if chosen else ()


def written_order(line: Line, order: Order) -> Order:
    """The order of day and month in a whole text: one 14/10 shows how its writer means 12/10."""
    for token in line.tokens:
        if token.kind in {"slash", "date"} and "." not in token.low and order != "either":
            left, right = (int(part) for part in token.low.replace("-", "/").split("/")[:2])
            if order == "month-first" and left > 12 >= right:
                return "day-first"
            if order == "day-first" and right > 12 >= left:
                return "month-first"
    return order


def _day_alone(line: Line, at: int, today: date) -> Found:
    """ "the 9th", "9th": the next such day, and the same day of later months."""
    step = at + (line.low(at) == "the")
    found = ordinal_at(line, step)
    if found is None or (line.kind(step) == "word" and line.low(at) != "the"):
        return None
    day, after = found
    if line.kind(after) == "word" and line.raw(after).lower() in _RANKED:
        return None
    whose = line.low(after + 1)
    if (
        line.low(after) == "of"
        and whose in {"this", "next", "the"}
        and line.is_at(after + 2, "month")
    ):
        first = today.replace(day=1) + timedelta(days=31 if whose == "next" else 0)
        exact = a_date(first.year, first.month, day)
        return (Day((exact,)), after + 3) if exact else None
    months = [
        (today.year + (today.month - 1 + k) // 12, (today.month - 1 + k) % 12 + 1) for k in range(4)
    ]
    days = [each for y, m in months if (each := a_date(y, m, day)) and each >= today]
    return Day((days[0],), roll=tuple(days[1:2])), after
