"""What the desk answers about what is told afterwards, in one line."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from clubbot.rules.results.shared import KitRef, TeamRef

AskWhy = Literal[
    "unread", "when", "planned", "whose", "no kits", "to come", "out", "not out", "not in use"
]


@dataclass(frozen=True, slots=True)
class ToldLine:
    """One entry as it would be written; `what` is the happening's own word.

    `assumed` where no time was said, `corrects` where an earlier entry is replaced by it.
    """

    what: str
    kits: tuple[KitRef, ...]
    at: datetime
    team: TeamRef | None = None
    instead: KitRef | None = None
    parts: tuple[tuple[str, int], ...] = ()
    said: str = ""
    assumed: bool = False
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class ToldAsk:
    """What can't be written as it was said, and why: it is asked, and the rest is kept."""

    why: AskWhy
    said: str
    label: str = ""
    other: str = ""


@dataclass(frozen=True, slots=True)
class EveningRead:
    """A line as it was read, for a yes."""

    day: date
    lines: tuple[ToldLine, ...]
    asks: tuple[ToldAsk, ...] = ()


@dataclass(frozen=True, slots=True)
class EveningWritten:
    """What was written down; `faults` are the numbers of those opened or joined."""

    day: date
    lines: tuple[ToldLine, ...]
    faults: tuple[int, ...] = ()
    asks: tuple[ToldAsk, ...] = ()
