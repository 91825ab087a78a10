"""The pieces that a request is read into, before they are put together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

Half = Literal["am", "pm"]


@dataclass(frozen=True, slots=True)
class Day:
    """One day, said in a way that may fit several dates; the first is the likeliest.

    `roll` says how many dates further the same words fit when the first one's time has gone:
    a bare weekday a week on, "the 9th" a month on. `weekday` is set when only that was said.
    `weekly`: every how many weeks it repeats (0: once); `last`: the last day of a span.
    """

    options: tuple[date, ...]
    weekday: int | None = None
    roll: tuple[date, ...] = ()
    weekly: int = 0
    last: date | None = None


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day; `fixed` when the 24-hour clock leaves no doubt, else `half` if it was said."""

    hour: int
    minute: int = 0
    half: Half | None = None
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class Dotted:
    """Two numbers with a dot: half past three in one text, the ninth of October in another."""

    left: int
    right: int
    closed: bool


@dataclass(frozen=True, slots=True)
class Length:
    """How long: exact hours and minutes, or whole days on the calendar."""

    exact: timedelta = timedelta(0)
    days: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """Morning, afternoon or evening beside a day."""

    half: Half


@dataclass(frozen=True, slots=True)
class Number:
    """A number whose meaning its neighbours decide; `text` as typed."""

    value: int
    text: str


@dataclass(frozen=True, slots=True)
class Count:
    """How many kits; no options: it was left open ("some kits").

    `more`: beside the named ones; `bare`: only the word "kit", without a number.
    """

    options: tuple[int, ...]
    more: bool = False
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Everything:
    """All of the club's kits."""


@dataclass(frozen=True, slots=True)
class Named:
    """Labels as the club spells them, and words that stand where a label should.

    `faint`: a single letter without a kit word; it counts only when nothing else is named.
    """

    known: tuple[str, ...]
    unknown: tuple[str, ...] = ()
    choice: bool = False
    faint: bool = False


@dataclass(frozen=True, slots=True)
class Excluded:
    """Labels that are not wanted: "all kits except D"."""

    known: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Link:
    """A word that says what the next piece is for."""

    word: str


@dataclass(frozen=True, slots=True)
class Team:
    """Whom the kits are for, as typed."""

    name: str


@dataclass(frozen=True, slots=True)
class Other:
    """Words that say nothing about the booking, or too little ("after lunch")."""

    vague: bool = False


Meaning = (
    Day
    | Clock
    | Dotted
    | Length
    | Part
    | Number
    | Count
    | Everything
    | Named
    | Excluded
    | Link
    | Team
    | Other
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A meaning and the tokens [first, after) that carry it."""

    meaning: Meaning
    first: int
    after: int


Found = tuple[Meaning, int] | None
"""What a recogniser says: a meaning and the token after it, or nothing."""
