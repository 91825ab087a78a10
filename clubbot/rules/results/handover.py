"""What the desk answers about giving out, taking back and passing on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from clubbot.rules.results.fault import FaultLine
from clubbot.rules.results.shared import BookingView, KitRef, SessionRef, Swap, TeamRef


@dataclass(frozen=True, slots=True)
class HandedOut:
    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    number: int | None = None
    swaps: tuple[Swap, ...] = ()


@dataclass(frozen=True, slots=True)
class SessionHandedOut:
    """All that a session's bookings get; `short` are teams that could not get all their kits."""

    given: tuple[HandedOut, ...]
    short: tuple[BookingView, ...] = ()


@dataclass(frozen=True, slots=True)
class TeamNeeded:
    """Which team gets these kits? One tap decides."""

    kits: tuple[KitRef, ...]
    teams: tuple[TeamRef, ...]
    passing: bool = False


@dataclass(frozen=True, slots=True)
class SaidBack:
    kits: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class TakenBack:
    """`still_out` are the kits that are out and due by now."""

    kits: tuple[KitRef, ...]
    still_out: tuple[KitRef, ...] = ()


@dataclass(frozen=True, slots=True)
class PassedOn:
    kits: tuple[KitRef, ...]
    team: TeamRef
    due: datetime


@dataclass(frozen=True, slots=True)
class OutLine:
    kit: KitRef
    team: TeamRef | None
    due: datetime | None
    late: bool
    said_back: bool


@dataclass(frozen=True, slots=True)
class WhatIsOut:
    """Kits that are out, for choosing which of them are back."""

    lines: tuple[OutLine, ...]


@dataclass(frozen=True, slots=True)
class TodayBooking:
    booking: BookingView
    changed: tuple[str, str] | None
    """(labels this team had last time, labels now) where they differ."""
    problems: tuple[tuple[str, str], ...] = ()
    """(label, why it isn't ready)."""


@dataclass(frozen=True, slots=True)
class TodaySession:
    session: SessionRef
    adult: str | None
    bookings: tuple[TodayBooking, ...]


@dataclass(frozen=True, slots=True)
class Today:
    day: date
    sessions: tuple[TodaySession, ...]
    others: tuple[TodayBooking, ...]
    out: tuple[OutLine, ...]
    not_usable: tuple[tuple[str, str], ...]
    faults: int
    kept: tuple[BookingView, ...] = ()
    closed: str | None = None


@dataclass(frozen=True, slots=True)
class KitCard:
    """One kit as this person may see it; `team` is None for those who may not know."""

    kit: KitRef
    kit_type: str
    out: bool
    team: TeamRef | None
    due: datetime | None
    late: bool
    said_back: bool
    held: str | None
    withdrawn: str | None
    charged_at: datetime | None
    faults: tuple[FaultLine, ...]
    next_booking: datetime | None
    mine: bool
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Undone:
    """`what` are (kind of entry, label) of all that was taken back."""

    what: tuple[tuple[str, str], ...]
    said_at: datetime
