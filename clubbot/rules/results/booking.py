"""What the desk answers about bookings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.model import Window
from clubbot.rules.results.shared import BookingView, KitRef, SessionRef, TeamRef


@dataclass(frozen=True, slots=True)
class FreeKits:
    """How many kits can still be promised in a window, and which are certainly untouched in it."""

    window: Window
    count: int
    of: int
    kits: tuple[KitRef, ...]
    closed: str | None = None


Lack = Literal["day", "start", "end", "count", "team"]


@dataclass(frozen=True, slots=True)
class BookingLacks:
    """One question at a time: `ask` is what is missing; the other fields are likely answers.

    `unknown_team` is a team name that the text had and the club doesn't know.
    """

    ask: Lack
    sessions: tuple[SessionRef, ...] = ()
    teams: tuple[TeamRef, ...] = ()
    most: int = 0
    start: datetime | None = None
    unknown_team: str = ""


@dataclass(frozen=True, slots=True)
class ReadAs:
    """One way to read a request."""

    window: Window
    count: int
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookingTwoWays:
    """The text can be read in two or more ways: which one was meant?"""

    readings: tuple[ReadAs, ...]


@dataclass(frozen=True, slots=True)
class Booked:
    booking: BookingView


@dataclass(frozen=True, slots=True)
class MyBookings:
    bookings: tuple[BookingView, ...]


@dataclass(frozen=True, slots=True)
class Cancelled:
    booking: BookingView
