"""What the desk answers when a team needs its kits longer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.model import BookingId
from clubbot.rules.results.shared import KitRef, Swap, TeamRef


@dataclass(frozen=True, slots=True)
class LongerOffered:
    """Until when the kits may stay out: `ends` at once, `asked` only if a leader says so."""

    booking: BookingId
    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    ends: tuple[datetime, ...]
    asked: tuple[datetime, ...]


@dataclass(frozen=True, slots=True)
class LongerGiven:
    """The kits are due later; `swaps` are other bookings that changed with it."""

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    swaps: tuple[Swap, ...] = ()


@dataclass(frozen=True, slots=True)
class LongerAsked:
    """A leader is asked whether the kits may stay out until then."""

    kits: tuple[KitRef, ...]
    end: datetime


@dataclass(frozen=True, slots=True)
class LongerWanted:
    """For the adults: may a team keep its kits, though no adult is noted as in the room then?"""

    booking: BookingId
    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class LongerRefused:
    """The kits are to come back when they are due: a leader has said so."""

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime


@dataclass(frozen=True, slots=True)
class LongerTold:
    """A leader's answer to the team."""

    kits: tuple[KitRef, ...]
    end: datetime
    yes: bool
