"""Two descriptions of one day: "friday the 9th", "the weekend, saturday", "tue 4 nov"."""

from __future__ import annotations

from datetime import date, timedelta

from clubbot.rules.reading.pieces import Day


def merged(first: Day, second: Day) -> Day:
    """One day from two descriptions; where they contradict each other, both are kept."""
    if first.last is not None or second.last is not None:
        span, other = (first, second) if first.last is not None else (second, first)
        inside = [d for d in unique(other.options + other.roll) if _within(d, span)]
        return Day(tuple(inside[:1]), weekly=other.weekly) if inside else other
    weekly = max(first.weekly, second.weekly)
    if first.weekday is not None and first.weekday == second.weekday and not weekly:
        return first
    ways = ways_of(first), ways_of(second)
    both = [day for day in ways[0] if day in ways[1]]
    if both:
        return Day(tuple(both[:1]), weekly=weekly)
    for named, dated in ((first, second), (second, first)):
        if named.weekday is None:
            continue
        fits = [d for d in dated.options + dated.roll if d.weekday() == named.weekday]
        if fits:
            return Day((fits[0],), weekly=weekly)
        if dated.weekday is None:
            return Day(unique((dated.options[0], _closest(named.weekday, dated.options[0]))))
    return Day(unique(first.options + second.options))


def ways_of(day: Day) -> tuple[date, ...]:
    """Every date that the words fit, the likeliest first."""
    return unique(day.options + day.roll)


def unique(days: tuple[date, ...]) -> tuple[date, ...]:
    """The same dates in the same order, each once."""
    return tuple(dict.fromkeys(days))


def _within(day: date, span: Day) -> bool:
    return span.last is not None and span.options[0] <= day <= span.last


def _closest(weekday: int, day: date) -> date:
    """That weekday within three days of a date."""
    shift = (weekday - day.weekday() + 3) % 7 - 3
    return day + timedelta(days=shift)
