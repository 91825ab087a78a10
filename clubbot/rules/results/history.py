"""What the desk answers about what happened to a kit, and corrections of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.results.shared import KitRef, TeamRef


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that happened, as this person may see it.

    `by` is empty where that is not theirs to know, or nobody's any more. `thing` is what of the
    kit it was about, where not the kit. `not_so_at` is when it was taken back, and `not_so_by`
    whom by; `mine` says that this person may correct it.
    """

    seq: int
    what: str
    at: datetime
    said_at: datetime
    by: str = ""
    team: TeamRef | None = None
    due: datetime | None = None
    note: str = ""
    parts: tuple[tuple[str, int], ...] = ()
    percent: int | None = None
    thing: str = ""
    not_so_at: datetime | None = None
    not_so_by: str = ""
    mine: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """A page of what happened to a kit, the newest first; `skipped` are newer than these."""

    kit: KitRef
    lines: tuple[HistoryLine, ...]
    skipped: int
    page: int
    total: int


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """One thing that happened, and the page that it was on: is it to be put right?"""

    kit: KitRef
    line: HistoryLine
    skipped: int


@dataclass(frozen=True, slots=True)
class HistoryCorrected:
    """One thing that happened is taken back, or stands again."""

    kit: KitRef
    line: HistoryLine
    again: bool
