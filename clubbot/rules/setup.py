"""What people type when they set up a club: its zone, its labels, its meeting times, its teams."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from string import ascii_uppercase
from zoneinfo import ZoneInfo, available_timezones

from clubbot.rules.reading import Reading, read_booking
from clubbot.rules.tidy import tidy

MOST_KITS = 200
OPEN_FOR = timedelta(days=1)
"""How long a question of the set-up waits for its answer; after that a text is none."""
NEW_CLUB = "Our club"
"""What a club is called until somebody says."""
LONGEST_LABEL = 16
LONGEST_NAME = 60
MISREAD = frozenset("IOQ10")
"""Labels that are taken for one another on a shelf or on a screen."""
_ALIKE = str.maketrans("IOQ", "100")

_RANGE = re.compile(r"^(.*?)\s*(?:-|\u2013|\bto\b|\buntil\b)\s*(.*?)$", re.IGNORECASE)
_NUMBERED = re.compile(r"^(.*?)(\d+)$")
_MONDAY = datetime(2026, 1, 5, tzinfo=UTC)


def read_zone(text: str) -> str | list[str]:
    """Return the IANA zone that a text names, by itself or by its city, or the nearest names."""
    zones = {zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")}
    wanted = text.strip().casefold().replace(" ", "_")
    for zone in sorted(zones):
        if zone.casefold() == wanted or zone.rpartition("/")[2].casefold() == wanted:
            return zone
    by_city = {zone.rpartition("/")[2].replace("_", " "): zone for zone in sorted(zones)}
    from rapidfuzz import process

    near = process.extract(text.strip(), by_city.keys(), limit=3, score_cutoff=70)
    return [by_city[city] for city, _, _ in near]


def read_new_labels(text: str) -> list[str] | str:
    """Return the labels of a list such as "A to L", "R1-R8", "12" or "Fox, Owl", or the problem.

    A lone number is how many: the kits are then called A, B, C and so on without the letters
    that are misread, or 1, 2, 3 where the letters don't suffice.
    """
    pieces = [piece for part in re.split(r"[,;\n]+", text) if (piece := tidy(part))]
    if len(pieces) == 1 and pieces[0].isdecimal():
        return _so_many(int(pieces[0]))
    labels: list[str] = []
    for piece in pieces:
        spanned = _span(piece)
        labels += spanned if spanned is not None else [piece]
    return _checked(labels)


def _so_many(count: int) -> list[str] | str:
    if not 1 <= count <= MOST_KITS:
        return f"between 1 and {MOST_KITS} kits"
    letters = [letter for letter in ascii_uppercase if letter not in MISREAD]
    if count <= len(letters):
        return letters[:count]
    return [str(place + 1) for place in range(count)]


def _span(piece: str) -> list[str] | None:
    match = _RANGE.match(piece)
    if match is None:
        return None
    first, last = match[1].strip(), match[2].strip()
    if len(first) == len(last) == 1 and first.isalpha() and last.isalpha():
        first, last = first.upper(), last.upper()
        return [chr(code) for code in range(ord(first), ord(last) + 1)] or None
    low, high = _NUMBERED.match(first), _NUMBERED.match(last)
    if low and high and high[1] in (low[1], ""):
        width = len(low[2]) if low[2].startswith("0") else 0
        numbers = range(int(low[2]), int(high[2]) + 1)
        return [f"{low[1]}{number:0{width}}" for number in numbers] or None
    return None


def _checked(labels: Sequence[str]) -> list[str] | str:
    if not labels:
        return "at least one label"
    if len(labels) > MOST_KITS:
        return f"at most {MOST_KITS} kits"
    if long := next((label for label in labels if len(label) > LONGEST_LABEL), None):
        return f"labels of at most {LONGEST_LABEL} characters, not {long[:30]}"
    seen: set[str] = set()
    for label in labels:
        if label.casefold() in seen:
            return f"each label once; {label} is there twice"
        seen.add(label.casefold())
    return list(labels)


@dataclass(frozen=True, slots=True)
class MeetingText:
    """A weekly meeting as read; weekday 0 is Monday, times are the club's own."""

    weekday: int
    starts: time
    ends: time
    name: str = ""


def read_meetings(text: str) -> list[MeetingText] | str:
    """Return the weekly meeting times of a list such as "Fri 15:30-17:00, Robotics A: Mon 4-5",
    or the one that can't be read."""
    found: list[MeetingText] = []
    for piece in re.split(r"[,;\n]+|(?<=[\dm])\s+and\b", text):
        if not piece.strip():
            continue
        name, when = _name_and_when(piece)
        day = re.sub(r"(?i)\b(every|each)\b|(?<=day)s\b", " ", when)
        reading = read_booking(f"1 kit {day.strip()}", _MONDAY, [])
        if not isinstance(reading, Reading) or reading.start.date() != reading.end.date():
            return piece.strip()
        starts, ends = reading.start.time(), reading.end.time()
        found.append(MeetingText(reading.start.weekday(), starts, ends, name))
    return found or text.strip()


_DAY = r"(?:mon|tues?|wed(?:nes)?|thur?s?|fri|sat(?:ur)?|sun)(?:days?)?"
_WHEN = re.compile(rf"\b(?:(?:every|each|on)\s+)*{_DAY}\b\.?:?\s*(?:at\s+|from\s+)?(?=\d)", re.I)
_FIRST_TIME = re.compile(r"(?<![^\s(:])\d{1,2}(?![^\s:.\d\-\u2013ap])")
_TIMES = re.compile(r"^.*\d\s*(?:[ap]\.?m\.?)?(?=[\s(]|$)", re.I | re.DOTALL)
_AROUND = " \t:=-\u2013()\"'"


def _name_and_when(piece: str) -> tuple[str, str]:
    """Split "Robotics A: Fri 4-5", "Fri 4-5 (Robotics A)" or "Thursday club 15:30-17:00"."""
    if spoken := list(_WHEN.finditer(piece)):
        before, when = piece[: spoken[-1].start()], piece[spoken[-1].start() :]
    elif first := _FIRST_TIME.search(piece):
        # The day stands in the name: "Thursday club 15:30-17:00".
        before, when = piece[: first.start()], piece
        if not re.sub(rf"(?i)\b(?:every|each|on|at|from|{_DAY})\b", " ", before).strip(_AROUND):
            before = ""
        else:
            days = re.findall(rf"(?i)\b{_DAY}\b", before)
            when = f"{days[0] if days else ''} {piece[first.start() :]}"
    else:
        return "", piece
    times = _TIMES.match(when)
    after = when[times.end() :] if times else ""
    name = tidy(before.strip(_AROUND) or after.strip(_AROUND))
    return name[:LONGEST_NAME], when[: times.end()] if times else when


_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def weekday(word: str) -> int | None:
    """Return the day of the week that a word begins, such as "Fri"; 0 is Monday."""
    said = word.strip(".:,").casefold()
    found = [day for day in _WEEKDAYS if len(said) > 1 and day.startswith(said)]
    return _WEEKDAYS.index(found[0]) if len(found) == 1 else None


def read_days(text: str, today: date, zone: ZoneInfo) -> tuple[date, date] | None:
    """Return the first and last day of a text such as "today", "30 Oct" or "26 Oct to 30 Oct"."""
    midnight = datetime.combine(today, time.min, zone)
    parts = re.split(r"\s+(?:to|until|till|\u2013|-)\s+|\u2013", text.strip(), maxsplit=1)
    found: list[date] = []
    for part in parts:
        reading = read_booking(
            f"1 kit {part} 09:00 to 10:00", midnight, [], longest=timedelta(days=1)
        )
        if not isinstance(reading, Reading):
            return None
        found.append(reading.start.date())
    first, last = found[0], found[-1]
    return (first, last) if first <= last else None


def read_names(text: str) -> list[str]:
    """Return the names of a list, each once, in the order given."""
    pieces = (tidy(piece) for piece in re.split(r"[,;\n]+", text))
    return list(dict.fromkeys(piece[:LONGEST_NAME] for piece in pieces if piece))


def misread(labels: Sequence[str]) -> tuple[str, ...]:
    """Return the labels that people will misread: I and 1, O and 0, Q, and R1 beside RI.

    Where all are plain numbers a 1 is a 1.
    """
    if all(label.isdecimal() for label in labels):
        return ()
    alike = Counter(_at_a_glance(label) for label in labels)
    return tuple(
        label for label in labels if label.upper() in MISREAD or alike[_at_a_glance(label)] > 1
    )


def _at_a_glance(label: str) -> str:
    return label.upper().translate(_ALIKE)
