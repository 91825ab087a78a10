"""What the desk answers on a walk through the store room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.results.shared import KitRef, Swap, TeamRef

StockMessage = tuple[int, int]
"""(chat, message) in which a walk stood until now."""


@dataclass(frozen=True, slots=True)
class StockKit:
    """The next kit of a walk: is it there? `booked` is where the books have it.

    `team` has it where it is out; `unusable` is why it isn't in use, `missing` what its tray lacks;
    `place` is its shelf. `before` is the message that this one takes the place of.
    """

    kit: KitRef
    done: int
    total: int
    booked: str
    place: str = ""
    team: TeamRef | None = None
    unusable: str = ""
    missing: tuple[tuple[str, int], ...] = ()
    before: StockMessage | None = None


@dataclass(frozen=True, slots=True)
class StockParts:
    """What differs in a kit that is there; `parts` are (name, how many should be, how many miss).

    `booked` is what the books say is missing.
    """

    kit: KitRef
    parts: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, slots=True)
class StockDifference:
    """A kit that isn't as the books have it; `what` are the kinds of entry that put that right.

    `left` says that this person may not write one of them.
    """

    kit: KitRef
    seen: str
    booked: str
    team: TeamRef | None
    what: tuple[str, ...]
    short: tuple[tuple[str, int], ...] = ()
    back: tuple[tuple[str, int], ...] = ()
    left: bool = False


@dataclass(frozen=True, slots=True)
class StockEnd:
    """The end of a walk: the differences, for one yes, and the kits nobody has looked at."""

    differences: tuple[StockDifference, ...]
    unseen: tuple[KitRef, ...]
    total: int
    before: StockMessage | None = None


@dataclass(frozen=True, slots=True)
class StockWritten:
    """The books are put right; `swaps` are bookings that changed with it."""

    differences: tuple[StockDifference, ...]
    unseen: tuple[KitRef, ...]
    swaps: tuple[Swap, ...] = ()


@dataclass(frozen=True, slots=True)
class StockStands:
    """A walk goes on already: `by` is at it, or was; it may be taken over or begun anew."""

    by: str
    mine: bool
    at: datetime
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class StockMessageKept:
    """From now on this message is the one that is changed in place."""
