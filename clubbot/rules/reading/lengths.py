"""How long: "an hour and a half", "90 min", "1.5h", "2 days", "a fortnight"."""

from __future__ import annotations

from datetime import timedelta

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.pieces import Found, Length
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import KIT, TO

_HOURS = frozenset({"hour", "hours", "h"})
_MINUTES = frozenset({"minutes", "m"})
_DAYS = {"day": 1, "days": 1, "night": 1, "nights": 1, "week": 7, "weeks": 7, "fortnight": 14}
_MOST = 9999
"""No length is counted past this many units; more is too long in any case."""
_MONTHS = {"month": 30, "months": 30, "year": 365, "years": 365}
_UNITS = frozenset({"hclock", *_HOURS, *_MINUTES, *_DAYS, *_MONTHS})
"""No length is without one of these words, or is written like 1h30."""


def length_at(line: Line, at: int) -> Found:
    """A length of time that starts here, and the token after it."""
    if not line.has_any(_UNITS):
        return None
    return _spoken_part(line, at) or _hours(line, at) or _minutes(line, at) or _days(line, at)


def _spoken_part(line: Line, at: int) -> Found:
    """Half an hour, a quarter of an hour, three quarters of an hour."""
    step = at + (line.low(at) in {"a", "an"})
    if line.low(step) == "half":
        after = step + 1 + (line.low(step + 1) in {"a", "an"}) + (line.low(step + 1) == "of")
        if line.low(after) == "hour":
            return Length(timedelta(minutes=30)), after + 1
        return None
    quarters = (
        3 if line.low(step) == "three" and line.low(step + 1) in {"quarters", "quarter"} else 0
    )
    if line.low(step) == "quarter" or quarters:
        after = step + 1 + bool(quarters) + (line.low(step + 1 + bool(quarters)) == "of")
        after += line.low(after) in {"a", "an"}
        if line.low(after) == "hour":
            return Length(timedelta(minutes=15 * (quarters or 1))), after + 1
    return None


def _amount(line: Line, at: int) -> tuple[float, int] | None:
    """1, 1.5, "one and a half", "a couple of", "an"."""
    if line.kind(at) == "dots":
        return float(line.low(at)), at + 1
    if line.low(at) in {"a", "an", "one"} and line.low(at + 1) not in {"couple", "and"}:
        return 1.0, at + 1
    if line.low(at) == "couple" or (line.low(at) == "a" and line.low(at + 1) == "couple"):
        after = at + 1 + (line.low(at) == "a")
        return 2.0, after + (line.low(after) == "of")
    number = number_at(line, at)
    if number is None and line.kind(at) == "num":
        number = (_MOST, at + 1)
    if number is None:
        return None
    value, after = float(number[0]), number[1]
    if _and_a(line, after, "half"):
        return value + 0.5, after + (3 if line.low(after + 1) == "a" else 2)
    if line.low(after) == "half" and line.low(after + 1) in _HOURS:
        return value + 0.5, after + 1
    return value, after


def _and_a(line: Line, at: int, word: str) -> bool:
    """ "and a half", "& half"."""
    step = at + 1 + (line.low(at + 1) == "a")
    return line.low(at) in {"and", "&", "n"} and line.low(step) == word


def _hours(line: Line, at: int) -> Found:
    if line.kind(at) == "hclock" and line.low(at - 1) == "for":
        hours, minutes = line.low(at).split("h")
        return Length(timedelta(hours=int(hours), minutes=int(minutes))), at + 1
    if line.kind(at) == "clock" and line.low(at - 1) == "for" and line.low(at + 1) in _HOURS:
        hours, minutes = line.low(at).split(":")
        return Length(timedelta(hours=int(hours), minutes=int(minutes))), at + 2
    if line.low(at) == "hour" and line.low(at - 1) in {"for", ",", "(", "+", "about", "like"}:
        amount: tuple[float, int] | None = (1.0, at)
    else:
        amount = _amount(line, at)
    if amount is None or line.low(amount[1]) not in _HOURS:
        return None
    exact, after = timedelta(hours=amount[0]), amount[1] + 1
    if _and_a(line, after, "half"):
        return Length(exact + timedelta(minutes=30)), after + (
            3 if line.low(after + 1) == "a" else 2
        )
    if _and_a(line, after, "quarter"):
        return Length(exact + timedelta(minutes=15)), after + 3
    rest = number_at(line, after + (line.low(after) == "and"))
    if rest is not None and rest[0] < 60 and line.low(rest[1]) in _MINUTES:
        return Length(exact + timedelta(minutes=rest[0])), rest[1] + 1
    bare = rest is not None and line.kind(after) == "num" and rest[0] in {15, 20, 30, 40, 45, 50}
    if rest is not None and bare and line.low(rest[1]) not in {*KIT, *TO, "am", "pm", ":"}:
        return Length(exact + timedelta(minutes=rest[0])), rest[1]
    return Length(exact), after


def _minutes(line: Line, at: int) -> Found:
    amount = _amount(line, at)
    if amount is None:
        return None
    after = amount[1] + (line.low(amount[1]) == "-")
    if line.low(after) == "minutes" or (line.low(after) == "m" and line.glued(after)):
        return Length(timedelta(minutes=amount[0])), after + 1
    return None


def _days(line: Line, at: int) -> Found:
    amount = _amount(line, at)
    if amount is None:
        return None
    after = amount[1] + (line.low(amount[1]) in {"school", "whole", "full"})
    per = _DAYS.get(line.low(after))
    if per is None and line.low(at - 1) == "for":
        per = _MONTHS.get(line.low(after))
    if per is None or amount[0] != int(amount[0]):
        return None
    return Length(days=int(amount[0]) * per), after + 1
