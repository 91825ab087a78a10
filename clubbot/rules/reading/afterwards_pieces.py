"""A piece of a line as a pattern of letters and words, and what its letters stand for.

Kits are K, a team is T, all of them is E, parts are P and other counts N; times and days are taken
out, for they may stand anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum

from clubbot.rules.reading.afterwards_marks import Mark
from clubbot.rules.reading.vocabulary import words


class Happening(StrEnum):
    """What can be told of a kit afterwards."""

    OUT = "out"
    BACK = "back"
    STILL_OUT = "still out"
    LATE = "late"
    INSTEAD = "instead"
    UNUSED = "not used"
    PASSED = "passed on"
    FLAT = "ran flat"
    FOUND_FLAT = "found flat"
    SHORT = "short"
    FAULT = "fault"
    NOT_SO = "not so"


@dataclass(frozen=True, slots=True)
class Told:
    """One thing told: of these kits, of a team's, or of `every` kit that is meant, less `but`.

    `at` is a wall time on `day`; None where none was said. `instead` is the label that a kit went
    out for. `parts` are (name as typed, how many). `of` is what a "not so" takes back,
    `minutes` how long it took until a kit ran flat.
    """

    what: Happening
    said: str
    kits: tuple[str, ...] = ()
    every: bool = False
    but: tuple[str, ...] = ()
    team: str = ""
    at: time | None = None
    day: date | None = None
    instead: str = ""
    parts: tuple[tuple[str, int], ...] = ()
    symptom: str = ""
    of: Happening | None = None
    minutes: int | None = None


_IDLE = frozenset(
    words(
        "the was were is are has have had been it its it's we they them then also ok okay "
        "please just only got : kit kits unit robot and at too also sorry actually correction "
        "oh"
    )
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece's pattern, and what its letters stand for, in order."""

    pattern: str
    runs: tuple[tuple[str, ...], ...]
    teams: tuple[str, ...]
    times: tuple[time, ...]
    parts: tuple[tuple[str, int], ...]
    said: str
    counts: tuple[int, ...] = ()


def fold(piece: Sequence[Mark], said: str) -> Piece:
    """Return a piece's pattern; `said` is the piece as typed."""
    letters: list[str] = []
    runs: list[list[str]] = []
    parts: list[tuple[str, int]] = []
    linked = False
    for place, mark in enumerate(piece):
        if mark.kind == "label":
            if letters and letters[-1] == "K" and (linked or piece[place - 1].kind == "label"):
                runs[-1].append(mark.text)
            else:
                letters.append("K")
                runs.append([mark.text])
        elif mark.kind in ("team", "all"):
            letters.append("T" if mark.kind == "team" else "E")
        elif mark.kind == "count":
            letters.append("N")
        elif mark.kind == "word" and mark.text not in _IDLE:
            letters.append(mark.text)
        linked = mark.kind == "and"
    pattern, parts = _with_parts(letters, piece)
    return Piece(
        pattern=pattern,
        runs=tuple(tuple(dict.fromkeys(run)) for run in runs),
        teams=tuple(mark.text for mark in piece if mark.kind == "team"),
        times=tuple(mark.value for mark in piece if isinstance(mark.value, time)),
        parts=tuple(parts),
        said=said,
        counts=tuple(mark.value for mark in piece if isinstance(mark.value, int)),
    )


_PART_ENDS = frozenset(words("K T E missing gone lost short from in of out on for back flat late"))
_PART_STARTS = frozenset(words("short missing lacks lacking lost without minus no needs - by down"))


def _with_parts(letters: list[str], piece: Sequence[Mark]) -> tuple[str, list[tuple[str, int]]]:
    """Take the parts out of a piece: "2 cables and a motor" becomes P."""
    counts = iter([int(m.value) for m in piece if isinstance(m.value, int)])
    pattern: list[str] = []
    parts: list[tuple[str, int]] = []
    at = 0
    while at < len(letters):
        word = letters[at]
        starts = word in ("N", "a", "an", "one", "some", "another") or (
            bool(pattern) and pattern[-1] in _PART_STARTS and word not in _PART_ENDS
        )
        number = next(counts) if word == "N" else 1
        first = at + (word in ("N", "a", "an", "one", "some", "another"))
        first += first < len(letters) and letters[first] == "of"
        after = first
        while after < len(letters) and letters[after] not in _PART_ENDS | {"N", "a", "an"}:
            after += 1
        timely = first < len(letters) and letters[first] in ("min", "mins", "minutes", "hour")
        if starts and after > first and not timely and 0 < number < 1000:
            name = [word for word in letters[first:after] if word != "each"]
            parts.append((" ".join(name), number))
            if not (pattern and pattern[-1] == "P"):
                pattern.append("P")
            at = after
        else:
            pattern.append(word)
            at += 1
    return " ".join(pattern), parts
