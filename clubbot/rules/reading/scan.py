"""A text read from left to right into pieces, each by the recogniser that knows it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubbot.rules.reading.counts import bare_kits_at, count_at, kit_word_at, number_at
from clubbot.rules.reading.dates import date_at
from clubbot.rules.reading.days import day_at
from clubbot.rules.reading.groups import group_after, group_at, people_after, ranked_group_at
from clubbot.rules.reading.labelbook import Labels
from clubbot.rules.reading.labels import labels_at
from clubbot.rules.reading.lengths import length_at
from clubbot.rules.reading.links import LINKS, link_at
from clubbot.rules.reading.pieces import (
    Clock,
    Count,
    Day,
    Excluded,
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
from clubbot.rules.reading.vocabulary import KIT, WEEKDAYS, words
from clubbot.rules.reading.zones import Order

_FILLERS = frozenset(
    words(
        "the a an about around approximately roughly ca circa please in of : just maybe "
        "say o'clock sharp exactly latest no later than"
    )
)
_AFTER_NOW = frozenset({"", "until", "to", "-", "for", ",", ".", "!", "?", "please", "and", "on"})
# "One" that stands for a thing and counts nothing: "the one that", "last time one was".
_AFTER_ONE = frozenset(words("was is with that which who has had day time thing"))
_BEFORE_ONE = frozenset(words("the this that which last every no any"))
# No day begins with these, the most frequent words of all: nothing need be looked up.
_NO_DAY = frozenset({"to", "until", "from", "at", "kit", "kits", "-", "for", "please", "and"})
_CLOCKS = frozenset({"clock", "hclock"})
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
    coming = length_at(line, at + 1) if line.low(at) == "next" else None
    if coming is not None and isinstance(coming[0], Length) and coming[0].exact:
        yield Day((setting.now.date(),)), at, at
        yield Clock(setting.now.hour, setting.now.minute, fixed=True), at, at
        yield coming[0], at, coming[1]
        return
    mentions = line.low(at) == "@" and line.kind(at + 1) == "word" and line.glued(at + 1)
    found = (Other(), at + 2) if mentions else _meaning_at(line, at, setting)
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


def _day(line: Line, at: int, setting: Setting) -> Found:
    return day_at(line, at, setting.now.date()) or _dated(line, at, setting)


def _skipped(at: int) -> Iterator[tuple[Meaning, int, int]]:
    yield Link(""), at, at + 1


def _meaning_at(line: Line, at: int, setting: Setting) -> Found:
    if line.kind(at) in _CLOCKS and (clock := clock_at(line, at)) is not None:
        return clock
    return (
        _kit_labels(line, at, setting.labels)
        or ranked_group_at(line, at)
        or (_day(line, at, setting) if line.low(at) not in _NO_DAY else None)
        or vague_at(line, at)
        or _count(line, at, setting.labels)
        or clock_at(line, at)
        or length_at(line, at)
        or dotted_at(line, at)
        or labels_at(line, at, setting.labels)
        or bare_kits_at(line, at)
        or _team(line, at, setting)
        or part_at(line, at)
        or group_at(line, at)
        or _number(line, at)
        or link_at(line, at)
    )


def _kit_labels(line: Line, at: int, labels: Labels) -> Found:
    """A kit word with labels behind it, and labels that are not wanted, go before all else."""
    low = line.low(at)
    if low in KIT or low == "#" or (low in {"(", ":"} and line.low(at - 1) in KIT):
        return labels_at(line, at, labels)
    return _excluded(line, at, labels)


def _excluded(line: Line, at: int, labels: Labels) -> Found:
    """ "not A or B", "except C"; a lone A is a label only where nothing follows it."""
    low = line.low(at)
    if low not in {"not", "except", "excluding", "without", "but", "bar", "minus"}:
        return None
    step = at + 1 + (line.low(at + 1) in {"not", "for"})
    named = labels_at(line, step, labels)
    if named is None or (low == "but" and step == at + 1 and at == 0):
        return None
    ends = named[1] >= len(line) or line.kind(named[1]) == "sym"
    sure = not named[0].faint or (bool(named[0].known) and line.raw(step).isupper() and ends)
    return (Excluded(named[0].known), named[1]) if sure else None


def _count(line: Line, at: int, labels: Labels) -> Found:
    """A count, unless labels follow and what looks like one ends a span: "3-5 kits B and D"."""
    found = count_at(line, at)
    if found is None or not isinstance(found[0], Count):
        return found
    spans = len(found[0].options) > 1 and "or" not in {line.low(k) for k in range(at, found[1])}
    linked = line.low(at - 1) in {"to", "until", "-", "at", "from", "between"}
    if linked and line.kind(at - 2) == "num" and _only_span(line, at - 2, found[1]):
        return None
    if (spans or linked) and labels_at(line, found[1] - 1, labels) is not None:
        return None
    if spans and (line.low(at - 1) in {"from", "between", "at"} or _only_span(line, at, found[1])):
        return None
    return found


def _only_span(line: Line, at: int, after: int) -> bool:
    """True for "friday 3-5 kits": right behind a day, and no other number in the text."""
    behind_day = line.low(at - 1) in {*WEEKDAYS, "today", "tomorrow", "tonight"}
    others = [line.kind(step) for step in range(len(line)) if not at <= step < after]
    return behind_day and not {"num", "clock", "dots", "hclock"} & set(others)


def _dated(line: Line, at: int, setting: Setting) -> Found:
    found = date_at(line, at, setting.now.date(), setting.order)
    if line.kind(at) == "slash" and kit_word_at(line, at + 1) is not None:
        return None
    return found


def _moment(line: Line, at: int, now: datetime) -> tuple[datetime, int] | None:
    """ "now", "in 2 hours", "an hour from now"."""
    minute = now.replace(second=0, microsecond=0)
    if line.low(at) in {"right", "straight"} and line.low(at + 1) in {"now", "away"}:
        return minute, at + 2
    if line.low(at) == "now":
        meant = line.low(at + 1) in _AFTER_NOW or line.low(at - 1) == "from" or at == 0
        return (minute, at + 1) if meant else None
    ahead = length_at(line, at + (line.low(at) == "in"))
    if ahead is None or not isinstance(ahead[0], Length) or ahead[0].days:
        return None
    if not timedelta(0) < ahead[0].exact < timedelta(days=400):
        return None
    later = (minute.timestamp(), ahead[0].exact)
    when = datetime.fromtimestamp(later[0] + later[1].total_seconds(), now.tzinfo)
    if line.low(ahead[1]) == "ago":
        ago = minute.timestamp() - ahead[0].exact.total_seconds()
        return datetime.fromtimestamp(ago, now.tzinfo), ahead[1] + 1
    if line.low(at) == "in":
        return when, ahead[1]
    return (when, ahead[1] + 2) if line.is_at(ahead[1], "from", "now") else None


def _team(line: Line, at: int, setting: Setting) -> Found:
    """The words after "for" up to the next piece, unless they are a day, a time or kits."""
    if line.low(at) != "for":
        return None
    step = at + 1
    if _ends_team(line, step, step, setting):
        return None
    while line.low(step) in {"the", "a"}:
        step += 1
    first = step
    while step < len(line) and not _ends_team(line, step, first, setting):
        step = group_after(line, step) or people_after(line, step) or step + 1
    if step == first:
        return None
    words = line.said(first, step)
    if words.lower() in _NOBODY:
        return Other(), step
    return Team(words), step


def _ends_team(line: Line, at: int, first: int, setting: Setting) -> bool:
    if group_after(line, at) is not None or people_after(line, at) is not None:
        return False
    low = line.low(at)
    if at > first and _excluded(line, at, setting.labels) is not None:
        return True
    if low in KIT or low in PARTS or low in {"please", "weekend", "this", "next", "in", "with"}:
        return True
    if line.kind(at) == "sym" and low not in {"'", "&", "."}:
        return True
    if low in LINKS and low not in {"and", "&"}:
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


def _number(line: Line, at: int) -> Found:
    number = number_at(line, at)
    if number is None:
        return None
    if line.low(at) == "one" and (
        line.low(at + 1) in _AFTER_ONE or line.low(at - 1) in _BEFORE_ONE
    ):
        return Other(), at + 1
    if len(line.raw(at)) == 3 and line.raw(at)[0] == "0" and line.raw(at).isdigit():
        return Other(), number[1]
    return Number(number[0], line.low(at)), number[1]
