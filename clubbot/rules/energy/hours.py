"""When an adult is there to watch what charges."""

from __future__ import annotations

from datetime import datetime

from clubbot.rules.calendar import ClubCalendar, days
from clubbot.rules.energy.plan import merged
from clubbot.rules.model import Window


def attended(calendar: ClubCalendar, after: datetime, until: datetime) -> list[Window]:
    """Return the spans between two instants in which an adult is in the room, in order.

    They are the club's sessions and its supervised hours; on closed days there are none.
    """
    first, last = calendar.day_of(after), calendar.day_of(until)
    spans = [session.window for session in calendar.sessions(first, last)]
    spans += [
        Window(calendar.instant(day, hours.starts), calendar.instant(day, hours.ends))
        for day in days(first, last)
        if not calendar.closed(day)
        for hours in calendar.hours
        if hours.weekday == day.weekday()
    ]
    return [
        Window(max(span.start, after), min(span.end, until))
        for span in merged(spans)
        if span.start < until and span.end > after
    ]
