"""What people are told without having asked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.model import NoticeId
from clubbot.rules.results.club import KnockView
from clubbot.rules.results.fault import FaultLine
from clubbot.rules.results.shared import BookingView, KitRef, TeamRef


@dataclass(frozen=True, slots=True)
class BookedTomorrow:
    """A booking of tomorrow, with the kits that it will have."""

    booking: BookingView


@dataclass(frozen=True, slots=True)
class DueSoon:
    """Kits that somebody has, shortly before they are due."""

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime


@dataclass(frozen=True, slots=True)
class StillOut:
    """The session's adult is asked about all kits that are shown as out, once."""

    notice: NoticeId
    kits: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class Late:
    """A late kit, to who has it (`holder`, `morning`) or to the leaders (`leader`)."""

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    step: Literal["holder", "morning", "leader"]


@dataclass(frozen=True, slots=True)
class KitsSwapped:
    """A booking gets other kits than people were told."""

    booking: BookingView
    swaps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class BookingShort:
    """A booking can't have all its kits any more."""

    booking: BookingView


@dataclass(frozen=True, slots=True)
class BookingOff:
    """Somebody else cancelled a booking, or the club is closed that day."""

    number: int
    start: datetime
    closed: bool


@dataclass(frozen=True, slots=True)
class SomeoneKnocks:
    knock: KnockView


@dataclass(frozen=True, slots=True)
class YouAreIn:
    club: str
    role: str


@dataclass(frozen=True, slots=True)
class NewFault:
    fault: FaultLine


@dataclass(frozen=True, slots=True)
class DangerAlarm:
    """For adults only: somebody reported danger; these kits are on hold."""

    kits: tuple[KitRef, ...]
    said: str
    by: str
    fire: bool
    numbers: tuple[int, ...]
