"""What people are told without having asked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.model import BookingId, FaultId, NoticeId, Window
from clubbot.rules.results.club import KnockView
from clubbot.rules.results.fault import FaultLine
from clubbot.rules.results.shared import BookingView, KitRef, TeamRef


@dataclass(frozen=True, slots=True)
class BookedTomorrow:
    """A booking of tomorrow, with the kits that it will have.

    `swaps` are those that differ from what people were told before: (before, after, why).
    """

    booking: BookingView
    swaps: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class DueSoon:
    """Kits that somebody has, shortly before they are due; `longer`: they may say how long."""

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    longer: BookingId | None = None


@dataclass(frozen=True, slots=True)
class StillOut:
    """The session's adult is asked about all kits that are shown as out, once."""

    notice: NoticeId
    kits: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class Late:
    """A late kit, to who has it (`holder`, `morning`) or to the leaders (`leader`).

    `longer` is its booking where an adult is in the room, so that it may stay out for a while.
    """

    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    step: Literal["holder", "morning", "leader"]
    longer: BookingId | None = None


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
    """`several`: this person is in other clubs here too, which this one's adults needn't know."""

    club: str
    role: str
    several: bool = False


@dataclass(frozen=True, slots=True)
class NewFault:
    fault: FaultLine


@dataclass(frozen=True, slots=True)
class DangerAlarm:
    """For adults only: somebody reported danger; these kits are on hold.

    `by` is empty where nobody of the club said it; `often` is for leaders: how many alarms this
    account has raised within a term, or 0 where that is no matter. `harm` says what may have
    happened to somebody, `thing` that the thing may still do harm; `before` is the closed fault
    that is back, or 0; `bays`: which of the kits were on which bay of the chargers.
    """

    fault: FaultId
    kits: tuple[KitRef, ...]
    said: str
    by: str
    fire: bool
    numbers: tuple[int, ...]
    often: int = 0
    harm: tuple[str, ...] = ()
    thing: bool = True
    emergency_number: str = ""
    before: int = 0
    bays: tuple[tuple[KitRef, int], ...] = ()


@dataclass(frozen=True, slots=True)
class DangerUnanswered:
    """Nobody has said for `minutes` that they have it; `last`: all are not told once more."""

    alarm: DangerAlarm
    minutes: int
    silent: tuple[str, ...]
    last: bool


@dataclass(frozen=True, slots=True)
class DangerHasSomeone:
    """One of the adults has it; this is for the others."""

    alarm: DangerAlarm
    name: str


@dataclass(frozen=True, slots=True)
class DangerPlaced:
    """A danger was reported without a kit, and now it is said which; `name` has it, if anybody."""

    alarm: DangerAlarm
    name: str


@dataclass(frozen=True, slots=True)
class DangerSaidAgain:
    """Somebody reported what this person has already; `by` is empty as in the alarm."""

    alarm: DangerAlarm
    said: str
    by: str


@dataclass(frozen=True, slots=True)
class DangerTaken:
    """The answer to an adult who says that they have it: theirs, or somebody was first."""

    alarm: DangerAlarm
    name: str
    mine: bool


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
