"""What a text can turn out to be: a reading, a question, several readings, or a kind no."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

Ask = Literal["day", "start", "end", "count"]
Error = Literal["unknown-kit", "zero", "end-before-start", "too-long", "past"]

ASK_ORDER: tuple[Ask, ...] = ("day", "start", "end", "count")
ERROR_ORDER: tuple[Error, ...] = ("unknown-kit", "zero", "end-before-start", "too-long", "past")


@dataclass(frozen=True, slots=True)
class MeetingTime:
    """A club's usual meeting: `weekday` as in `date.weekday()`, local wall times."""

    weekday: int
    start: time
    end: time
    name: str = ""


@dataclass(frozen=True, slots=True)
class Weekly:
    """The booking repeats every `weeks` weeks, up to and including `until` where one was named."""

    until: date | None = None
    weeks: int = 1


@dataclass(frozen=True, slots=True)
class Reading:
    """A request that is complete: `start` < `end` are aware, in the club's zone.

    `kits` are labels as the club spells them and are part of `count`; `without` are those that
    aren't wanted among them.
    """

    start: datetime
    end: datetime
    count: int
    kits: tuple[str, ...] = ()
    team: str | None = None
    repeat: Weekly | None = None
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """What still has to be asked, and what is known already (None: not known).

    `text` is all that was said so far; adding the answer to it and reading again goes on.
    """

    ask: tuple[Ask, ...]
    text: str = ""
    day: date | None = None
    start: time | None = None
    last_day: date | None = None
    end: time | None = None
    length: timedelta | None = None
    count: int | None = None
    kits: tuple[str, ...] = ()
    team: str | None = None
    repeat: Weekly | None = None


@dataclass(frozen=True, slots=True)
class Either:
    """The text can be read in two or more ways; each is a complete request, earliest first."""

    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why nothing can be booked as written; `word` are the words at fault."""

    error: Error
    word: str


Answer = Reading | Missing | Either | Unreadable


def describe_json(result: Answer) -> dict[str, object]:
    """The same as plain data: local times to the minute, labels as the club spells them."""
    match result:
        case Reading():
            return {
                "start": f"{result.start:%Y-%m-%dT%H:%M}",
                "end": f"{result.end:%Y-%m-%dT%H:%M}",
                "count": result.count,
                "kits": list(result.kits),
            }
        case Missing():
            return {"ask": list(result.ask)}
        case Either():
            return {"either": [describe_json(each) for each in result.readings]}
        case Unreadable():
            return {"error": result.error}
