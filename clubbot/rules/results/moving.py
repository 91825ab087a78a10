"""What the desk answers when a session is held at another time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from clubbot.rules.model import Window
from clubbot.rules.results.shared import BookingView

LeftFor = Literal["kits", "named", "battery", "resource", "out", "time", "undecided"]


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """A booking that couldn't go along with its session: it stands as it did.

    `possible` is how many kits it could have at the session's new time.
    """

    booking: BookingView
    possible: int
    why: LeftFor


@dataclass(frozen=True, slots=True)
class SessionMoved:
    """A session is held at another time, with the bookings that could go along.

    `back` names the session for whoever takes that back: day and time, where it isn't back yet.
    """

    name: str
    before: Window
    after: Window
    why: str
    along: tuple[BookingView, ...]
    left: tuple[LeftBehind, ...]
    told: int
    back: str = ""


@dataclass(frozen=True, slots=True)
class SessionElsewhen:
    """A session that somebody has a part in is held at another time; `booking` goes along."""

    name: str
    before: Window
    after: Window
    why: str
    booking: BookingView | None = None


@dataclass(frozen=True, slots=True)
class NotAlong:
    """A booking whose session is held at another time, at which it can't have what it wants."""

    booking: BookingView
    after: Window
    possible: int
    why: str
