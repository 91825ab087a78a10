"""A line typed afterwards, cut into marks: labels, teams, times, days, counts, words and stops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Literal

from clubbot.rules.reading.afterwards_days import past_day_at
from clubbot.rules.reading.answers import MeetingTime
from clubbot.rules.reading.hours import start_minute
from clubbot.rules.reading.labelbook import Labels, find
from clubbot.rules.reading.pieces import Clock
from clubbot.rules.reading.times import clock_at, clock_from_digits, make_clock
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import KIT, NUMBER_WORDS, words

MarkKind = Literal["label", "team", "time", "day", "all", "count", "word", "stop", "and"]
_ALL = frozenset({"all", "everything", "everyone", "everybody", "rest", "others", "both"})
_AND = frozenset({"and", "&", "+", "plus"})
_STOPS = frozenset({",", ";", ".", "(", ")", "!", "/"})
_AT = frozenset({"at", "from", "since", "by", "@", "around", "about", "until", "till", "to"})
_MOVES = frozenset({"out", "back", "in", "returned", "late"})
_FEW = frozenset({"short", "missing", "lost", "lacks", "without", "minus", "no", "needs", "-"})
PREDICATES = frozenset(
    words(
        "out back late flat empty still not short missing lost lacks lacking without minus no "
        "needs for instead replaced replaces returned broken broke in home went ran came "
        "given gave handed was is were are has had have battery dead found used unused stayed "
        "passed to except but wasn't isn't weren't aren't didn't hasn't won't doesn't can't "
        "keeps died swapped started got only never"
    )
)


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark; `text` is the label or team as the club spells it, or the word in lower case.

    `value` is a count, a time of day or a day. `start` and `end` are places in the tidied text.
    """

    kind: MarkKind
    text: str
    start: int
    end: int
    value: int | time | date | None = None


@dataclass(frozen=True, slots=True)
class Known:
    """What a line is read against: labels, teams, meeting times, today, and 9/10's order."""

    labels: Labels
    teams: tuple[str, ...]
    meetings: Sequence[MeetingTime]
    today: date
    day_first: bool


def marks(line: Line, known: Known) -> list[Mark]:
    """Return the marks of a line, in its order."""
    found: list[Mark] = []
    at = 0
    while at < len(line):
        mark, after = (
            _day(line, at, known)
            or _time(line, at, known, found)
            or _team(line, at, known)
            or _label(line, at, known, found)
            or _plain(line, at, found)
        )
        found.append(mark)
        at = max(after, at + 1)
    return found


def _mark(
    line: Line, at: int, after: int, kind: MarkKind, text: str, value: int | time | date | None
) -> tuple[Mark, int]:
    start, end = line.tokens[at].start, line.tokens[min(after, len(line)) - 1].end
    return Mark(kind, text, start, end, value), after


def _day(line: Line, at: int, known: Known) -> tuple[Mark, int] | None:
    found = past_day_at(line, at, known.today, known.day_first)
    return _mark(line, at, found[1], "day", "", found[0]) if found else None


# -- times ----------------------------------------------------------------------------------------


def _time(line: Line, at: int, known: Known, before: list[Mark]) -> tuple[Mark, int] | None:
    step = at + (line.low(at) in _AT or (line.low(at) == "-" and _is_time(before)))
    found = _clock(line, step, step > at or (bool(before) and before[-1].text in _MOVES), known)
    if found is None:
        return None
    clock, after = found
    minute = start_minute(clock, None, known.meetings) % (24 * 60)
    return _mark(line, at, after, "time", "", time(minute // 60, minute % 60))


def _is_time(before: list[Mark]) -> bool:
    return bool(before) and before[-1].kind == "time"


def _clock(line: Line, at: int, due: bool, known: Known) -> tuple[Clock, int] | None:
    """A time of day; a bare number is one only where a time is due, and no label of the club's."""
    kind, low = line.kind(at), line.low(at)
    if kind == "dots":
        hour, minute = low.split(".")
        clock = make_clock(int(hour), int(minute), hour) if len(minute) == 2 else None
        return (clock, at + 1) if clock else None
    surely = clock_at(line, at)
    if surely is not None and isinstance(surely[0], Clock):
        return surely[0], surely[1]
    if kind != "num" or line.low(at + 1) in {"min", "mins", "minutes", "hours"}:
        return None
    label = find(line, at, known.labels, spaced=True)
    if len(low) in (3, 4) and label is None:
        clock = clock_from_digits(low)
        return (clock, at + 1) if clock else None
    more = line.kind(at + 1) == "word" and line.raw(at + 1).lower() not in _MOVES | _AND
    named = label is not None and line.low(at - 1) in {"from", "to"}
    if len(low) <= 2 and due and not more and not named:
        clock = clock_from_digits(low)
        return (clock, at + 1) if clock and 0 < clock.hour < 24 else None
    return None


# -- labels, teams, words -------------------------------------------------------------------------


def _team(line: Line, at: int, known: Known) -> tuple[Mark, int] | None:
    step = at + (line.low(at) == "team" and bool(line.raw(at + 1)))
    for name in sorted(known.teams, key=len, reverse=True):
        spelled = name.casefold().split()
        if [line.raw(step + n).casefold() for n in range(len(spelled))] != spelled:
            continue
        if find(line, step, known.labels, spaced=False) and step == at:
            continue
        return _mark(line, at, step + len(spelled), "team", name, None)
    return None


def _label(line: Line, at: int, known: Known, before: list[Mark]) -> tuple[Mark, int] | None:
    after_kit = line.low(at) in KIT
    step = at + after_kit
    step += line.low(step) == "#"
    found = find(line, step, known.labels, spaced=step > at)
    if found is None:
        return None
    label, after, _ = found
    if step == at and not _stands_for_label(line, step, after, before):
        return None
    after += line.low(after) == "'" and line.low(after + 1) == "s"
    return _mark(line, at, after, "label", label, None)


def _stands_for_label(line: Line, at: int, after: int, before: list[Mark]) -> bool:
    """Tell kit A from "a motor", and kit 2 from "2 cables"."""
    last = before[-1] if before else None
    fresh = last is None or last.kind in ("stop", "and", "label", "team", "all")
    behind = line.raw(after).lower()
    follows = after >= len(line) or behind in PREDICATES | _AND | _STOPS | {"-", ":"}
    if line.kind(at) == "num":
        if last is not None and last.kind == "word" and last.text in _FEW:
            return False
        return follows or _clock_follows(line, after) or line.kind(after) == "num"
    if line.raw(at) in {"a", "i", "I"}:
        linked = last is not None and last.kind == "word" and last.text in PREDICATES - _FEW
        return (fresh or linked) and (follows or _clock_follows(line, after))
    return True


def _clock_follows(line: Line, at: int) -> bool:
    return line.kind(at) in {"clock", "dots", "hclock"} or line.low(at) in {"at", "from"}


_NEGATED = frozenset({"wasn't", "isn't", "weren't", "aren't", "didn't", "hasn't", "haven't"})


def _plain(line: Line, at: int, before: list[Mark]) -> tuple[Mark, int]:
    raw = line.raw(at).lower()
    if raw in _STOPS:
        return _mark(line, at, at + 1, "stop", raw, None)
    if raw in _AND or (raw == "then" and not before):
        return _mark(line, at, at + 1, "and", raw, None)
    if raw in _ALL:
        step = at + 1 + (line.low(at + 1) == "of" and line.low(at + 2) in {"them", "it"}) * 2
        step += line.low(step) in KIT
        return _mark(line, at, step, "all", raw, None)
    if line.kind(at) == "num":
        return _mark(line, at, at + 1, "count", raw, int(raw[:6]))
    if raw in NUMBER_WORDS and line.kind(at + 1) == "word":
        return _mark(line, at, at + 1, "count", raw, NUMBER_WORDS[raw])
    return _mark(line, at, at + 1, "word", "not" if raw in _NEGATED else raw, None)
