"""What the desk answers about wear."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class WearLine:
    """One kit: faults in so many sessions and driving hours, and what may be said of it.

    `low` to `high` faults per 100 sessions hold nine times in ten. `times`: how many times the
    others' rate; None where they give none. `said` and `advice` are values of the wear rules,
    `again` a symptom that came three times this term; `done` are the last fixes. `uncounted` are
    the faults beside these: before the first noted use, or of nothing that wears.
    """

    kit: KitRef
    sessions: int
    hours: int
    faults: int
    low: int
    high: int
    times: float | None
    said: str
    again: str
    advice: str
    done: tuple[str, ...] = ()
    uncounted: int = 0


@dataclass(frozen=True, slots=True)
class WarrantyEnding:
    """A thing whose warranty ends soon while a fault of it, or of its kit, is open."""

    kit: KitRef
    kind: str
    until: date
    fault: int


@dataclass(frozen=True, slots=True)
class WearReport:
    """All kits, those that something is to be done about first.

    `compared` is the day up to which kits were compared with each other: the last end of a term.
    `asked`: only of the kits that somebody named.
    """

    lines: tuple[WearLine, ...]
    ending: tuple[WarrantyEnding, ...]
    since: date
    compared: date | None
    asked: bool = False
