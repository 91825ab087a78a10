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
    """A tray's contents to check; `parts` are (name, how many there should be, how many miss)."""

    kit: KitRef
    parts: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """A full count; `new` is missing since the last one, `back` was found again."""

    kit: KitRef
    missing: tuple[tuple[str, int], ...]
    new: tuple[tuple[str, int], ...]
    back: tuple[tuple[str, int], ...]
    since: datetime | None
