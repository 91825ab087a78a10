"""Moving one session: what a line asks for, and where a booking of the session then lies."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal

from clubbot.rules.calendar import DAY, ClubCalendar, Move, Session
from clubbot.rules.model import Window
from clubbot.rules.reading import Missing, Reading, Unreadable, read_booking

_TO = re.compile(r"\s+(?:to|onto|->|\u2192)\s+", re.IGNORECASE)
_WEEKDAY = re.compile(r"(?:on )?(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\b", re.IGNORECASE)
LOOK_AHEAD = 7 * 53


@dataclass(frozen=True, slots=True)
class MoveText:
    """Which session is meant, and where it is to go, both in the club's wall time."""

    session: Session
    day: date
    starts: time
    ends: time


def read_move(
    text: str, now: datetime, calendar: ClubCalendar
) -> MoveText | Literal["past"] | None:
    """Return what a line such as "thursday to friday 16:00-17:30" asks for, if it can be read.

    What isn't said of the new time stays as it was; a session that is moved back to its own day
    gets its own time back. `now` is aware. A bare weekday is the one in the session's own week,
    where that is still to come.
    """
    cuts = sorted(_TO.finditer(text), key=lambda cut: cut[0].strip().lower() == "to")
    for cut in cuts:
        session = _session(text[: cut.start()].strip(), now, calendar)
        if session is not None and (found := _target(text[cut.end() :], session, now, calendar)):
            return found
    return None


_Read = tuple[date | None, time | None, time | None]


def _read(text: str, now: datetime) -> _Read | Literal["past"] | None:
    reading = read_booking(f"1 kit {text.strip()}", now, [], longest=DAY)
    if isinstance(reading, Reading):
        if reading.count != 1 or reading.start.date() != reading.end.date():
            return None
        return reading.start.date(), reading.start.time(), reading.end.time()
    if isinstance(reading, Missing) and reading.last_day is None and reading.count == 1:
        return reading.day, reading.start, reading.end
    if isinstance(reading, Unreadable) and reading.error == "past":
        return "past"
    return None


def _session(text: str, now: datetime, calendar: ClubCalendar) -> Session | None:
    """Return the session that is named, by its day, its name or both; the next such one."""
    here = now.astimezone(calendar.zone)
    named = {m.name.lower() for m in calendar.meetings if m.name and m.name.lower() in text.lower()}
    plain = text.lower()
    for name in sorted(named, key=len, reverse=True):
        plain = plain.replace(name, " ")
    if not plain.strip() and not named:
        return None
    read = _read(plain, here) if plain.strip() else (None, None, None)
    if named and not isinstance(read, tuple):
        read = (None, None, None)
    if not isinstance(read, tuple) or (read[0] is None and not named):
        return None
    day, starts, _ = read
    first, last = (day, day) if day else (here.date(), here.date() + timedelta(days=LOOK_AHEAD))
    found = [
        each
        for each in _plannable(first, last, calendar)
        if each.window.start > now
        and (not named or each.name.lower() in named)
        and (starts is None or each.window.start.astimezone(calendar.zone).time() == starts)
    ]
    if found and day is not None and len(found) > 1:
        return None
    return found[0] if found else None


def _plannable(first: date, last: date, calendar: ClubCalendar) -> list[Session]:
    """Return the sessions of these days, and those that a closure leaves without a place."""
    found = calendar.sessions(first, last)
    day = first
    while day <= last:
        if calendar.closed(day):
            found += [each for each in calendar.usual(day) if each.moved is None]
        day += DAY
    return sorted(found, key=lambda each: each.window)


def _target(
    text: str, session: Session, now: datetime, calendar: ClubCalendar
) -> MoveText | Literal["past"] | None:
    start, end = (
        each.astimezone(calendar.zone) for each in (session.window.start, session.window.end)
    )
    read = _read_near(text.strip(), session, now.astimezone(calendar.zone))
    if read is None or read == "past":
        return read
    if read[0] is None and read[1] is None:
        return None
    day, starts, ends = read
    day = day or session.day
    if starts is None:
        own = session.moved
        if own is not None and day == own.day:
            usual = _usual_times(own, calendar)
            return MoveText(session, day, *usual) if usual else None
        return MoveText(session, day, start.time(), end.time())
    if ends is None:
        later = datetime.combine(day, starts) + (end - start)
        if later.date() != day:
            return None
        ends = later.time()
    return MoveText(session, day, starts, ends)


def _read_near(text: str, session: Session, here: datetime) -> _Read | Literal["past"] | None:
    """Read the new time; a bare weekday is meant in the session's week, if still to come."""
    if _WEEKDAY.match(text):
        monday = session.day - timedelta(days=session.day.weekday())
        that_week = _read(text, datetime.combine(monday, time.min, here.tzinfo))
        if isinstance(that_week, tuple) and (that_week[0] or date.min) >= here.date():
            return that_week
    return _read(text, here)


def _usual_times(move: Move, calendar: ClubCalendar) -> tuple[time, time] | None:
    for meeting in calendar.meetings:
        if meeting.weekday == move.day.weekday() and meeting.starts == move.at:
            return meeting.starts, meeting.ends
    return None


def in_place_of(window: Window, before: Window, after: Window) -> Window | None:
    """Return where a booking lies when its session goes from one window to another.

    What began or ended with the session still does; else it keeps its distance from the start,
    and ends with the session at the latest where it did before. None where nothing is left.
    """
    start = after.start + (window.start - before.start)
    end = start + window.length
    if window.end == before.end or (window.end < before.end and end > after.end):
        end = after.end
    elif window.end > before.end:
        end = after.end + (window.end - before.end)
    return Window(start, end) if start < min(end, after.end) else None


def belongs(window: Window, session: Session, calendar: ClubCalendar) -> bool:
    """Say whether a booking is one of this session: mostly then, and over the same day."""
    with_it = calendar.session_with(window)
    same_day = calendar.day_of(window.start) == calendar.day_of(window.end) == session.day
    return same_day and with_it is not None and with_it.window == session.window


def clash(window: Window, session: Session, sessions: Sequence[Session]) -> Session | None:
    """Return another session that a window overlaps, if any."""
    others = (each for each in sessions if each.window != session.window)
    return next((each for each in others if each.window.overlaps(window)), None)


def followed(window: Window, calendar: ClubCalendar) -> Window | None:
    """Return a window of a weekly session where that is held elsewhere this once, else None."""
    for usual in calendar.usual(calendar.day_of(window.start)):
        inside = usual.window.start <= window.start and window.end <= usual.window.end
        if usual.moved is not None and inside:
            move = usual.moved
            there = Window(
                calendar.instant(move.to_day, move.starts).astimezone(UTC),
                calendar.instant(move.to_day, move.ends).astimezone(UTC),
            )
            return in_place_of(window, usual.window, there)
    return None
