"""A draft put on the calendar: wall times to instants, and what can be wrong with them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from clubbot.rules.reading.answers import Answer, Error, MeetingTime, Reading, Unreadable, Weekly
from clubbot.rules.reading.draft import Draft
from clubbot.rules.reading.hours import span_minutes, start_minute, usual
from clubbot.rules.reading.labelbook import Labels
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.zones import instant


@dataclass(frozen=True, slots=True)
class Request:
    line: Line
    draft: Draft
    now: datetime
    labels: Labels
    meetings: tuple[MeetingTime, ...]
    longest: timedelta


def words_of(request: Request, *parts: str) -> str:
    for part in (*parts, "day", "start", "end"):
        piece = request.draft.words.get(part)
        if piece is not None:
            return request.line.said(piece.first, max(piece.after, piece.first + 1))
    return request.line.text.strip()[:80]


def last_day(draft: Draft, day: date) -> date:
    """The day on which it ends, as far as days were named."""
    if draft.weekly:
        return day
    if draft.last is not None:
        options = sorted({*draft.last.options, *draft.last.roll})
        if draft.last.weekday is not None:
            ahead = (draft.last.weekday - day.weekday()) % 7
            timed = draft.start is not None and draft.end is not None
            return day + timedelta(days=ahead or (0 if timed else 7))
        return next((each for each in options if each >= day), options[-1])
    if draft.day is not None and draft.day.last is not None:
        return draft.day.last + (day - draft.day.options[0])
    return day


def days_long(draft: Draft, day: date) -> int:
    named = (last_day(draft, day) - day).days
    return max(named, draft.length.days if draft.length else 0)


def placed(request: Request, day: date, count: int, kits: tuple[str, ...]) -> Answer:
    """One way to read the text, rolled on to the next such day when its time has gone."""
    outcome = _on_day(request, day, count, kits)
    rolled = request.draft.day.roll if request.draft.day else ()
    if rolled and isinstance(outcome, Unreadable) and outcome.error == "past":
        return _on_day(request, rolled[0], count, kits)
    return outcome


def _on_day(request: Request, day: date, count: int, kits: tuple[str, ...]) -> Answer:
    draft = request.draft
    start_wall, end_wall, extra = _walls(request, day)
    start = instant(start_wall, request.now)
    if extra is not None and end_wall is None:
        end = _exactly_later(start, extra, request.now)
    elif extra is not None:
        end = instant(end_wall or start_wall, request.now)
        start = _exactly_later(end, -extra, request.now)
    else:
        end = instant(end_wall or start_wall, request.now)
    error = _error(start, end, request)
    if error is not None:
        part = {"past": "day", "too-long": "last"}.get(error, "end")
        return Unreadable(error, words_of(request, part, "end"))
    repeat = Weekly(until(draft, day), draft.weekly) if draft.weekly else None
    return Reading(start, end, count, kits, draft.team, repeat, draft.excluded)


def until(draft: Draft, day: date) -> date | None:
    if draft.last is None:
        return None
    return next(
        (each for each in sorted({*draft.last.options, *draft.last.roll}) if each >= day),
        draft.last.options[-1],
    )


def _walls(request: Request, day: date) -> tuple[datetime, datetime | None, timedelta | None]:
    """Wall times of start and end, or one of them with an exact length."""
    draft = request.draft
    here = [m for m in request.meetings if m.weekday == day.weekday()]
    last = last_day(draft, day) if not _weekend(draft) else day
    if draft.start is not None and draft.end is not None:
        if last > day:
            begin, finish = start_minute(draft.start, draft.half, here), usual(draft.end)
        else:
            begin, finish = span_minutes(draft.start, draft.end, draft.half, here)
            finish += 24 * 60 if draft.overnight and finish <= begin else 0
        return _wall(day, begin), _wall(last, finish), None
    length = draft.length
    if draft.start is not None and length is not None:
        begin = start_minute(draft.start, draft.half, here)
        if length.days:
            return _wall(day, begin), _wall(day + timedelta(days=length.days), begin), None
        return _wall(day, begin), None, length.exact
    end = draft.end
    finish = start_minute(end, draft.half, here) if end is not None else 0
    return _wall(day, finish), _wall(last, finish), length.exact if length else timedelta(0)


def _weekend(draft: Draft) -> bool:
    day = draft.day
    return day is not None and day.last is not None and day.weekday is not None


def _wall(day: date, minutes: int) -> datetime:
    return datetime.combine(day, time()) + timedelta(minutes=minutes)


def _exactly_later(moment: datetime, by: timedelta, now: datetime) -> datetime:
    return datetime.fromtimestamp(moment.timestamp() + by.total_seconds(), now.tzinfo)


def _error(start: datetime, end: datetime, request: Request) -> Error | None:
    minute = request.now.replace(second=0, microsecond=0)
    if end.timestamp() <= start.timestamp():
        return "end-before-start"
    if end.replace(tzinfo=None) - start.replace(tzinfo=None) > request.longest:
        return "too-long"
    return "past" if start.timestamp() < minute.timestamp() else None
