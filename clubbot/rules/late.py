"""When a kit is late, and what that blocks. Late is computed, never stored."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.ledger import Position, Use
from clubbot.rules.model import Window

FOR_GOOD = timedelta(days=3650)
"""How far ahead a kit is blocked that nobody knows the return of."""
_STEP = timedelta(minutes=5)


def is_late(position: Position, now: datetime, grace: timedelta) -> bool:
    """Say whether a kit is out and was due as long ago as the grace time, or longer."""
    return position.due is not None and position.due <= now - grace


def due_on_open_day(due: datetime, calendar: ClubCalendar) -> datetime:
    """Return when a kit is really due: on a closed day means the same time on the next open one."""
    day = calendar.day_of(due)
    if not calendar.closed(day):
        return due
    at = due.astimezone(calendar.zone).time()
    return calendar.instant(calendar.next_open_day(day), at)


def blocked(
    position: Position, now: datetime, calendar: ClubCalendar, grace: timedelta
) -> tuple[Window, ...]:
    """Return the spans in which a kit that stands like this can't be promised to anybody else.

    A kit that isn't in use is blocked for good, but for the use that it is out for. One that is
    late is blocked to the end of the club's day: nobody knows when it comes, and every morning it
    is asked again. One that was due just now is expected within the grace time, no sooner.
    """
    if position.use is not Use.IN_USE:
        in_hand = position.due if position.due is not None and position.due > now else now
        return (Window(in_hand, in_hand + FOR_GOOD),)
    if position.due is not None and position.due <= now:
        tomorrow = calendar.instant(calendar.day_of(now) + DAY, time.min)
        late = is_late(position, now, grace)
        return (Window(now, tomorrow if late else position.due + grace + _STEP),)
    return ()


LONGER = (timedelta(minutes=15), timedelta(minutes=30), timedelta(minutes=60))
"""How much longer a team may want its kits: common practice, no source."""


def extensions(start: datetime) -> tuple[datetime, ...]:
    """Return until when kits may be wanted that are due then, or were: on full five minutes."""
    over = timedelta(minutes=start.minute % 5, seconds=start.second, microseconds=start.microsecond)
    full = start - over + (_STEP if over else timedelta(0))
    return tuple(full + longer for longer in LONGER)


def attended_until(start: datetime, end: datetime, calendar: ClubCalendar) -> bool:
    """Say whether an adult is noted as in the room all the time from one moment to another."""
    steps = (end - start) // _STEP
    return all(calendar.attended(end - step * _STEP) for step in range(steps + 1))
