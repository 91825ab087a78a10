"""What the desk answers about charging."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class ChargeLine:
    kit: KitRef
    sessions: int
    charged_at: datetime | None
    uses_since: int
    why_not: str | None = None


@dataclass(frozen=True, slots=True)
class ChargeList:
    """Kits with bookings in the days after `day`, up to and including `until`."""

    day: date
    until: date
    needed: tuple[ChargeLine, ...]
    idle: tuple[ChargeLine, ...]


@dataclass(frozen=True, slots=True)
class Charged:
    kits: tuple[KitRef, ...]
