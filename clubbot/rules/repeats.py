"""The same time every week: on the club's own clocks, closed days left out and listed.

Recurrence as in RFC 5545, section 3.8.5.3: the wall time stays over a clock change, only its
instant moves; a wall time that a change skips or repeats is read as section 3.3.5 says.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.model import Window
from clubbot.rules.moving import followed


@dataclass(frozen=True, slots=True)
class Repeats:
    """The windows in order of time, and the days left out, each with what it is closed for."""

    windows: tuple[Window, ...]
    skipped: tuple[tuple[date, str], ...]


def weekly(first: Window, until: date, calendar: ClubCalendar, weeks: int = 1) -> Repeats:
    """Return a window again every so many weeks, up to and on the day `until`, the first included.

    Each starts and ends at the wall times of the first one; a window that spans days keeps its
    number of them. A window is left out where the club is closed on the day it starts, and where
    a clock change leaves nothing of it. One of a session that is held elsewhen this once goes with
    it. How far `until` may lie is for the caller to bound.
    """
    from dateutil.rrule import WEEKLY, rrule

    start, end = (each.astimezone(calendar.zone) for each in (first.start, first.end))
    nights = end.date() - start.date()
    windows: list[Window] = []
    skipped: list[tuple[date, str]] = []
    last = datetime.combine(until, time.max)
    for each in rrule(
        WEEKLY, interval=weeks, dtstart=start.replace(tzinfo=None, fold=0), until=last
    ):
        day = each.date()
        window = _on(day, start.time(), day + nights, end.time(), calendar)
        there = followed(window, calendar) if window and day != start.date() else None
        if closure := calendar.closed(calendar.day_of(there.start) if there else day):
            skipped.append((day, closure.why))
        elif day == start.date():
            windows.append(first)
        elif held := there or window:
            windows.append(held)
        else:
            skipped.append((day, "the clocks change"))
    return Repeats(tuple(windows), tuple(skipped))


def _on(day: date, starts: time, last: date, ends: time, calendar: ClubCalendar) -> Window | None:
    start = datetime.combine(day, starts, calendar.zone).astimezone(UTC)
    end = datetime.combine(last, ends, calendar.zone).astimezone(UTC)
    return Window(start, end) if end > start else None
