"""A text read from left to right into pieces, each by the recogniser that knows it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubbot.rules.reading.counts import bare_kits_at, count_at, kit_word_at, number_at
from clubbot.rules.reading.dates import date_at
from clubbot.rules.reading.days import day_at
from clubbot.rules.reading.labels import Labels, labels_at
from clubbot.rules.reading.lengths import length_at
from clubbot.rules.reading.pieces import (
    Clock,
    Day,
    Found,
    Length,
    Link,
    Meaning,
    Number,
    Other,
    Part,
    Piece,
    Team,
)
from clubbot.rules.reading.times import PARTS, clock_at, dotted_at, part_at, vague_at
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import GROUPS, KIT, PEOPLE, words
from clubbot.rules.reading.zones import Order

_LINKS = {
    "from": "from",
    "between": "between",
    "at": "at",
    "@": "at",
    "on": "on",
    "to": "to",
    "-": "to",
    "until": "until",
    "ending": "until",
    "by": "by",
    "and": "and",
    "or": "or",
    "&": "and",
    "for": "for",
    "every": "every",
    "weekly": "every",
    "through": "to",
    ",": ",",
}
_FILLERS = frozenset(
    words(
        "the a an about around approximately roughly ca circa please in of . ! ? : ; just maybe "
        "say o'clock sharp exactly latest no later than"
    )
)
_NOBODY = frozenset({"me", "us", "myself", "everyone", "everybody", "it", "them", "ourselves"})


@dataclass(frozen=True, slots=True)
class Setting:
    """What a text is read against."""

    now: datetime
    labels: Labels
    order: Order


def scan(line: Line, setting: Setting) -> list[Piece]:
    """All pieces of a text, in order; words that say nothing are left out or are `Other`."""
    pieces: list[Piece] = []
    at = 0
    while at < len(line):
        for meaning, first, after in _pieces_at(line, at, setting):
            pieces.append(Piece(meaning, first, after))
            at = after
    return pieces


def _pieces_at(line: Line, at: int, setting: Setting) -> Iterator[tuple[Meaning, int, int]]:
    moment = _moment(line, at, setting.now)
    if moment is not None:
        when, after = moment
        yield Day((when.date(),)), at, at
        yield Clock(when.hour, when.minute, fixed=True), at, after
        return
    found = _meaning_at(line, at, setting)
    if found is None:
        if line.low(at) not in _FILLERS:
            yield Other(), at, at + 1
        else:
            yield from _skipped(at)
        return
    meaning, after = found
    yield meaning, at, after
    if isinstance(meaning, Day) and line.low(after - 1) == "tonight":
        yield Part("pm"), after, after


def _skipped(at: int) -> Iterator[tuple[Meaning, int, int]]:
    yield Link(""), at, at + 1


def _meaning_at(line: Line, at: int, setting: Setting) -> Found:
    today = setting.now.date()
    return (
        _kit_labels(line, at, setting.labels)
        or day_at(line, at, today)
        or _dated(line, at, setting)
        or vague_at(line, at)
        or count_at(line, at)
        or clock_at(line, at)
        or length_at(line, at)
        or dotted_at(line, at)
        or labels_at(line, at, setting.labels)
        or bare_kits_at(line, at)
        or _team(line, at, setting)
        or part_at(line, at)
        or _group(line, at)
        or _number(line, at)
        or _link(line, at)
    )


def _kit_labels(line: Line, at: int, labels: Labels) -> Found:
    """A kit word with labels behind it goes before everything else."""
    if line.low(at) in KIT or line.low(at) == "#":
        return labels_at(line, at, labels)
    return None


def _dated(line: Line, at: int, setting: Setting) -> Found:
    found = date_at(line, at, setting.now.date(), setting.order)
    if found is not None and kit_word_at(line, found[1]) is not None:
        return None
    return found


def _moment(line: Line, at: int, now: datetime) -> tuple[datetime, int] | None:
    """ "now", "in 2 hours", "an hour from now"."""
    minute = now.replace(second=0, microsecond=0)
    if line.low(at) in {"right", "straight"} and line.low(at + 1) in {"now", "away"}:
        return minute, at + 2
    if line.low(at) == "now":
        return minute, at + 1
    ahead = length_at(line, at + (line.low(at) == "in"))
    if ahead is None or not isinstance(ahead[0], Length) or ahead[0].days:
        return None
    if not timedelta(0) < ahead[0].exact < timedelta(days=400):
        return None
    later = (minute.timestamp(), ahead[0].exact)
    when = datetime.fromtimestamp(later[0] + later[1].total_seconds(), now.tzinfo)
    if line.low(at) == "in":
        return when, ahead[1]
    return (when, ahead[1] + 2) if line.is_at(ahead[1], "from", "now") else None


def _team(line: Line, at: int, setting: Setting) -> Found:
    """The words after "for" up to the next piece, unless they are a day, a time or kits."""
    if line.low(at) != "for":
        return None
    step = at + 1
    while line.low(step) in {"the", "a"}:
        step += 1
    first = step
    while step < len(line) and not _ends_team(line, step, first, setting):
        step = _group_after(line, step) or _people_after(line, step) or step + 1
    if step == first:
        return None
    words = line.said(first, step)
    if words.lower() in _NOBODY:
        return Other(), step
    return Team(words), step


def _group_after(line: Line, at: int) -> int | None:
    """ "class 3B", "year 9", "7B", "P6": a number that is part of a name."""
    raw = line.raw(at).lower()
    if raw in GROUPS and line.kind(at + 1) == "num":
        return at + 2 + (line.kind(at + 2) == "word" and line.glued(at + 2))
    coded = line.kind(at) == "num" and line.kind(at + 1) == "word" and line.glued(at + 1)
    if coded and len(line.raw(at + 1)) == 1 and line.raw(at + 1).isupper():
        return at + 2
    if line.kind(at) == "word" and line.kind(at + 1) == "num" and line.glued(at + 1):
        return at + 2 if len(line.raw(at)) <= 2 and line.low(at) != "x" else None
    return None


def _people_after(line: Line, at: int) -> int | None:
    number = number_at(line, at)
    return number[1] + 1 if number is not None and line.low(number[1]) in PEOPLE else None


def _ends_team(line: Line, at: int, first: int, setting: Setting) -> bool:
    if _group_after(line, at) is not None or _people_after(line, at) is not None:
        return False
    low = line.low(at)
    if low in KIT or low in PARTS or low in {"please", "weekend", "this", "next", "in", "with"}:
        return True
    if line.kind(at) == "sym" and low not in {"'", "&", "."}:
        return True
    if low in _LINKS and low not in {"and", "&"}:
        return True
    today = setting.now.date()
    recognised = (
        day_at(line, at, today)
        or _dated(line, at, setting)
        or clock_at(line, at)
        or dotted_at(line, at)
        or length_at(line, at)
        or count_at(line, at)
        or vague_at(line, at)
    )
    if recognised is not None or number_at(line, at) is not None or low == ".":
        return True
    if low in {"and", "&"}:
        return _ends_team(line, at + 1, first, setting)
    return at == first and low in {"session", "meeting", "practice", "lesson"}


def _group(line: Line, at: int) -> Found:
    """A class or room named without "for": it is no count and no time."""
    after = _group_after(line, at)
    if after is not None and (line.raw(at).lower() in GROUPS or line.kind(at) == "num"):
        return Other(), after
    people = _people_after(line, at)
    return (Other(), people) if people is not None else None


def _number(line: Line, at: int) -> Found:
    number = number_at(line, at)
    if number is None:
        return None
    return Number(number[0], line.low(at)), number[1]


def _link(line: Line, at: int) -> Found:
    word = _LINKS.get(line.low(at))
    if word is None:
        return None
    if line.low(at) == "-" and line.low(at + 1) == "-":
        return None
    after = at + 1
    if line.low(at) == "up" and line.low(at + 1) == "to":
        return Link("until"), at + 2
    return Link(word), after
