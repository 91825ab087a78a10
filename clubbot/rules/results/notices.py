"""What people are told without having asked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.model import NoticeId, Window
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
    """A booking gets other kits than people were told; each is (before, after, why)."""

    booking: BookingView
    swaps: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class BookingChanged:
    """Somebody else changed a booking: this is how it stands now."""

    booking: BookingView


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


@dataclass(frozen=True, slots=True)
class PlaceOffered:
    """A place is held for somebody on the waiting list until a moment."""

    wish: int
    window: Window
    count: int
    until: datetime


@dataclass(frozen=True, slots=True)
class RequestAsked:
    """A request that a leader decides."""

    wish: int
    window: Window
    count: int
    team: TeamRef | None
    by: str
    why: str


@dataclass(frozen=True, slots=True)
class RequestDecided:
    """A leader's answer to somebody's request; `number` is the booking where it was a yes."""

    window: Window
    count: int
    yes: bool
    number: int | None


@dataclass(frozen=True, slots=True)
class Teardown:
    """The last day of a keep: take it apart and count it."""

    booking: BookingView
