"""A meeting that goes by a name lends its day and its times: "2 kits for Thursday club".

The name is put into words that say the same, and the whole is read as any other text, so that no
word of it counts as a label, a team or a day of its own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from clubbot.rules.reading import booking
from clubbot.rules.reading.answers import Answer, MeetingTime, Missing, Reading

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_EVERY = re.compile(r"\b(?:every|each)(?:\s+week)?\b|\bweekly\b", re.IGNORECASE)
_UNTIL = re.compile(r"\b(?:until|till|til|up to)\b", re.IGNORECASE)


def read_booking(
    text: str,
    now: datetime,
    labels: Sequence[str],
    meetings: Sequence[MeetingTime] = (),
    longest: timedelta = booking.LONGEST,
) -> Answer:
    """Read a text as `booking.read_booking` does, with the names of meetings understood first."""
    found = _named(text, meetings)
    if found is not None:
        text = _spelled_out(text, found[0], found[1], now, labels)
    return booking.read_booking(text, now, labels, meetings=meetings, longest=longest)


def names_meeting(text: str, name: str) -> bool:
    """Say whether a text names the meeting that goes by this name."""
    return bool(name) and _mention(name).search(text) is not None


def _named(text: str, meetings: Sequence[MeetingTime]) -> tuple[re.Match[str], MeetingTime] | None:
    for meeting in sorted(meetings, key=lambda each: len(each.name), reverse=True):
        if meeting.name and (found := _mention(meeting.name).search(text)):
            return found, meeting
    return None


def _mention(name: str) -> re.Pattern[str]:
    words = r"\s+".join(re.escape(word) for word in name.split())
    lead = r"(?:\b(?:for|at|in|to|on|during)\s+)?(?:\bthe\s+)?"
    return re.compile(rf"{lead}(?<!\w){words}(?!\w)(?:\s+(?:sessions?|meetings?))?", re.IGNORECASE)


def _is_team(name: str, read: Answer) -> bool:
    """Say whether the name reads as a team's, which may well be called like its meeting."""
    team = read.team if isinstance(read, Missing | Reading) else None
    return team is not None and team.casefold() == name.casefold()


def _spelled_out(
    text: str,
    found: re.Match[str],
    meeting: MeetingTime,
    now: datetime,
    labels: Sequence[str],
) -> str:
    before, after = text[: found.start()], text[found.end() :]
    if _is_team(meeting.name, booking.read_booking(text, now, labels)):
        before += found[0]
    repeats = _EVERY.search(before + after) or _UNTIL.search(after)
    if repeats:
        before, after = _EVERY.sub(" ", before), _EVERY.sub(" ", after)
    rest = booking.read_booking(f"{before} {after}", now, labels)
    if not isinstance(rest, Missing):
        return f"{before} {after}"
    times = f"{meeting.start:%H:%M} to {meeting.end:%H:%M}"
    if repeats:
        return f"{before} every {_WEEKDAYS[meeting.weekday]} {times} {after}"
    day = "" if rest.day else _WEEKDAYS[meeting.weekday]
    return f"{before} {day} {after}" + ("" if rest.start or rest.end else f", {times}")
