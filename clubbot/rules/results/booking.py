"""What the desk answers about bookings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from clubbot.rules.model import KitId, Window
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

    `unknown_team` is a team name that the text had and the club doesn't know; `no_session_on` the
    day that it named where there is none, the sessions then being later ones. `again`: the answer
    couldn't be read.
    """

    ask: Lack
    sessions: tuple[SessionRef, ...] = ()
    teams: tuple[TeamRef, ...] = ()
    most: int = 0
    start: datetime | None = None
    unknown_team: str = ""
    no_session_on: date | None = None
    again: bool = False


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
    resources: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class BookedWeekly:
    """A booking that repeats: the dates booked, closed days skipped, and dates without kits."""

    bookings: tuple[BookingView, ...]
    closed: tuple[tuple[date, str], ...]
    refused: tuple[date, ...]
    until_guessed: bool = False


@dataclass(frozen=True, slots=True)
class LeaderAsked:
    """The request goes beyond what a team may book, or couldn't be decided: a leader is asked."""

    window: Window
    count: int
    why: Literal["over-limit", "undecided"]


@dataclass(frozen=True, slots=True)
class OnWaitingList:
    """A place on the waiting list; `place` counts from 1."""

    window: Window
    count: int
    place: int


@dataclass(frozen=True, slots=True)
class WishDropped:
    """A place on the waiting list, an offer or a request was given up or refused."""

    window: Window
    count: int


@dataclass(frozen=True, slots=True)
class CancelWhich:
    """A booking that repeats: this one, this and the later ones, or all that are to come?"""

    booking: BookingView
    later: int
    every: int


@dataclass(frozen=True, slots=True)
class CallOffWhich:
    """Bookings that somebody may mean to cancel or to change; nothing is done yet.

    `left`: so many kits of the one booking are still wanted, by what was said.
    """

    what: Literal["cancel", "change"]
    bookings: tuple[BookingView, ...]
    left: int = 0


@dataclass(frozen=True, slots=True)
class CancelledMany:
    bookings: tuple[BookingView, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """Bookings that were changed, and those that couldn't be and stay as they were."""

    bookings: tuple[BookingView, ...]
    unchanged: tuple[BookingView, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptBuilt:
    """A kit stays built for a team until a moment; then it is taken apart and counted."""

    kit: KitRef
    team: TeamRef
    until: datetime
    number: int


@dataclass(frozen=True, slots=True)
class MyBookings:
    bookings: tuple[BookingView, ...]


@dataclass(frozen=True, slots=True)
class Cancelled:
    booking: BookingView


@dataclass(frozen=True, slots=True)
class SameKit:
    """Whether a team is to have the same kit from session to session."""

    team: TeamRef
    same: bool


@dataclass(frozen=True, slots=True)
class Timeline:
    """When which kit is promised in a window, by kit; `unusable` says which can't be had at all.

    `free` says of each session in it how many kits one more booking could have.
    """

    window: Window
    kits: tuple[KitRef, ...]
    busy: dict[KitId, tuple[Window, ...]]
    unusable: dict[KitId, str]
    free: tuple[tuple[Window, int], ...]
