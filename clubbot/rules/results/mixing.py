"""What the desk answers about one kit's tablet with another's unit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class MixNoted:
    """The tablet of one kit is with the unit of another."""

    unit: KitRef
    tablet: KitRef


@dataclass(frozen=True, slots=True)
class MixAsked:
    """Later: is each of them back with its own kit?"""

    mix: int
    unit: KitRef
    tablet: KitRef
    noted_at: datetime
