"""Which half of the day: hours without am or pm, and the end that belongs to a start.

The club's conventions: 1 to 7 is the afternoon, 8 to 11 the morning, 12 noon; an end is the first
reading after the start; am or pm on either side serves both; inside a meeting decides first.
All results are minutes from the start day's midnight (an end may lie past 24 hours).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import time

from clubbot.rules.reading.answers import MeetingTime
from clubbot.rules.reading.pieces import Clock, Half

_DAY = 24 * 60
_NIGHT = 18 * 60
"""From here on an end "before" the start is taken for the next morning."""
_EARLY = 6 * 60


def readings(clock: Clock, end: bool = False) -> tuple[int, ...]:
    """Every minute of the day that a time can be; as an end, twelve may be midnight."""
    if clock.fixed:
        return (clock.hour * 60 + clock.minute,)
    morning = (clock.hour % 12) * 60 + clock.minute
    if clock.half == "am":
        return (_DAY,) if end and morning == 0 else (morning,)
    if clock.half == "pm":
        return (morning + 12 * 60,)
    later = morning + 12 * 60
    return tuple(sorted((later, morning + _DAY))) if clock.hour == 12 and end else (morning, later)


def usual(clock: Clock, half: Half | None = None) -> int:
    """The one reading that the conventions give, or the named half of the day.

    "Friday morning" and 3 o'clock don't go together: nobody books for the small hours that way.
    """
    options = readings(clock)
    if len(options) == 1:
        return options[0]
    if half is not None and not (half == "am" and 1 <= clock.hour <= 5):
        return options[0] if half == "am" else options[1]
    return options[0] if 8 <= clock.hour <= 11 else options[1]


def start_minute(clock: Clock, half: Half | None, meetings: Sequence[MeetingTime]) -> int:
    """The start alone; a meeting that contains one reading and not the other decides."""
    if len(readings(clock)) == 1 or half is not None:
        return usual(clock, half)
    inside = [
        minute
        for minute in readings(clock)
        if any(_minute(m.start) <= minute < _minute(m.end) for m in meetings)
    ]
    return inside[0] if len(inside) == 1 else usual(clock)


def _minute(moment: time) -> int:
    return moment.hour * 60 + moment.minute


def span_minutes(
    start: Clock, end: Clock, half: Half | None, meetings: Sequence[MeetingTime]
) -> tuple[int, int]:
    """Start and end of a span that begins and, as a rule, ends on one day.

    The end comes out at or before the start only where the words leave no other reading.
    """
    starts, ends = readings(start), readings(end, end=True)
    inside = _inside_meeting(starts, ends, meetings) if half is None else None
    if inside is not None:
        return inside
    for begin in _starts_in_order(start, end, half, meetings):
        for finish in sorted(ends):
            if finish > begin:
                return begin, finish
    begin = start_minute(start, half or _shared(start, end), meetings)
    if begin >= _NIGHT and min(ends) % _DAY <= 12 * 60 and end.half != "pm":
        return begin, min(minute % _DAY for minute in ends) + _DAY
    return begin, ends[-1]


def _inside_meeting(
    starts: tuple[int, ...], ends: tuple[int, ...], meetings: Sequence[MeetingTime]
) -> tuple[int, int] | None:
    fits = [
        (begin, finish)
        for begin in starts
        for finish in ends
        for m in meetings
        if begin < finish and _minute(m.start) <= begin and finish <= _minute(m.end)
    ]
    return fits[0] if len(set(fits)) == 1 else None


def _shared(start: Clock, end: Clock) -> Half | None:
    return end.half if start.half is None and not start.fixed else None


def _starts_in_order(
    start: Clock, end: Clock, half: Half | None, meetings: Sequence[MeetingTime]
) -> list[int]:
    """Readings of the start, likeliest first; an unlikely early one only when nothing else fits."""
    options = readings(start)
    if len(options) == 1:
        return list(options)
    first: list[int] = []
    shared = _shared(start, end)
    if half is not None:
        first.append(usual(start, half))
    if shared is not None:
        first.append(usual(start, shared))
    first.append(start_minute(start, None, meetings))
    early = [minute for minute in options if minute >= _EARLY and (end.half or end.fixed)]
    early += [minute for minute in options if _EARLY <= minute < 8 * 60]
    return list(dict.fromkeys(first + early))
