"""What several answers speak of: a team, a kit, a booking, a session."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.model import BookingId, KitId, PersonId, TeamId, Window


@dataclass(frozen=True, slots=True)
class TeamRef:
    id: TeamId
    name: str


@dataclass(frozen=True, slots=True)
class KitRef:
    id: KitId
    label: str


@dataclass(frozen=True, slots=True)
class BookingView:
    """A booking as people see it.

    `kits` are those chosen for it, which may still change unless they were `named` in it.
    """

    id: BookingId
    number: int
    team: TeamRef | None
    window: Window
    count: int
    kits: tuple[KitRef, ...]
    booked_by: PersonId | None
    out: tuple[KitRef, ...] = ()
    named: bool = False
    keep: bool = False
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class SessionRef:
    day: date
    name: str
    window: Window


@dataclass(frozen=True, slots=True)
class Swap:
    """A booking that was to have one kit and gets another, and why."""

    team: TeamRef | None
    number: int
    before: str
    after: str
    why: str = ""
