"""What the desk answers about counting a tray."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class CountLine:
    """A kit to count today; `why` is missing, away, never or oldest."""

    kit: KitRef
    why: str
    counted_at: datetime | None


@dataclass(frozen=True, slots=True)
class CountsDue:
    lines: tuple[CountLine, ...]


@dataclass(frozen=True, slots=True)
class CountSheet:
    """A tray's contents to check; `parts` are (name, how many there should be, how many miss).

    Where the list tells compartments, `boxes` names them and `lies` says of each part in which it
    is, by its place among them, or -1; `box` is the one that is looked into. `told` is the part
    whose number was just typed or weighed, how many that makes, and whether that was known.
    """

    kit: KitRef
    parts: tuple[tuple[str, int, int], ...]
    boxes: tuple[str, ...] = ()
    lies: tuple[int, ...] = ()
    box: int | None = None
    told: tuple[str, int, bool] | None = None


@dataclass(frozen=True, slots=True)
class Counted:
    """A full count; `new` is missing since the last one, `back` was found again."""

    kit: KitRef
    missing: tuple[tuple[str, int], ...]
    new: tuple[tuple[str, int], ...]
    back: tuple[tuple[str, int], ...]
    since: datetime | None
