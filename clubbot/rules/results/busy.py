"""What the adults are told of a busy day, the day before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.model import Window
from clubbot.rules.results.charging import ChargeStep
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class BusyShort:
    """A unit or tablet that isn't sure to last from `since` on; `instead` could go then."""

    kit: KitRef
    own: bool
    since: datetime
    instead: KitRef | None


@dataclass(frozen=True, slots=True)
class BusyDay:
    """So many sessions back to back: who lasts, what to charge before and in between, or swap."""

    window: Window
    sessions: int
    lasts: tuple[KitRef, ...]
    before: tuple[ChargeStep, ...]
    between: tuple[ChargeStep, ...]
    short: tuple[BusyShort, ...]
