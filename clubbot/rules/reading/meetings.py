"""The club's own meetings lend their times: "thursday session", a bare day, "the next meeting"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from clubbot.rules.reading.answers import MeetingTime
from clubbot.rules.reading.days import coming
from clubbot.rules.reading.draft import Draft
from clubbot.rules.reading.pieces import Clock, Day
from clubbot.rules.reading.tokens import Line

_MEETING = frozenset({"session", "meeting", "club", "practice", "sessions", "meetings"})


def place_in_meetings(
    draft: Draft, line: Line, now: datetime, meetings: Sequence[MeetingTime]
) -> Draft:
    """The draft with day and times taken from a meeting, where the text leaves them to it."""
    if not meetings:
        return draft
    named = _named(line, meetings)
    if draft.day is None and draft.last is None:
        spoken = any(line.low(at) in _MEETING for at in range(len(line)))
        chosen = named or (list(meetings) if spoken else [])
        if not chosen or draft.start is not None or draft.end is not None:
            return draft
        day, meeting = min(
            ((_next(each, now), each) for each in chosen),
            key=lambda pair: (pair[0], pair[1].start),
        )
        return _timed(replace(draft, day=Day((day,))), meeting)
    if draft.start is not None or draft.end is not None or draft.length is not None:
        return draft
    if draft.day is None or draft.last is not None or draft.day.last is not None:
        return draft
    here = [m for m in named or meetings if m.weekday == draft.day.options[0].weekday()]
    if draft.half is not None:
        here = [m for m in here if (m.start.hour < 12) == (draft.half == "am")]
    return _timed(draft, here[0]) if len(here) == 1 else draft


def _named(line: Line, meetings: Sequence[MeetingTime]) -> list[MeetingTime]:
    text = line.text.lower()
    return [each for each in meetings if each.name and each.name.lower() in text]


def _next(meeting: MeetingTime, now: datetime) -> date:
    day = coming(meeting.weekday, now.date())
    gone = day == now.date() and meeting.start < now.time()
    return day + timedelta(days=7) if gone else day


def _timed(draft: Draft, meeting: MeetingTime) -> Draft:
    return replace(
        draft,
        start=Clock(meeting.start.hour, meeting.start.minute, fixed=True),
        end=Clock(meeting.end.hour, meeting.end.minute, fixed=True),
    )
