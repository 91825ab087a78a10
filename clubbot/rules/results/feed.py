"""What the desk answers about the school's calendar, and the bookings as a calendar file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.feeds.model import FeedDay, Trouble
from clubbot.rules.model import NoticeId
from clubbot.rules.results.shared import BookingView


@dataclass(frozen=True, slots=True)
class FeedAsked:
    """An address was taken; what it holds is fetched now and told in a message of its own."""

    host: str


@dataclass(frozen=True, slots=True)
class FeedOff:
    """The calendar isn't read any more; `opened` of its closures to come are gone with it."""

    opened: int


@dataclass(frozen=True, slots=True)
class FeedView:
    """The school's calendar as it stands: None for `host` where there is none.

    `read_at` is when the copy that stands was fetched; `trouble` what the newest try met.
    """

    host: str | None
    read_at: datetime | None = None
    trouble: Trouble | None = None
    taken: tuple[FeedDay, ...] = ()
    unsure: tuple[FeedDay, ...] = ()
    dropped: tuple[FeedDay, ...] = ()


@dataclass(frozen=True, slots=True)
class FeedNews:
    """A calendar was read for the first time, or it says other days than before.

    `bookings` start on days that it newly closes: whether they stand is asked.
    """

    notice: NoticeId
    host: str
    first: bool
    taken: tuple[FeedDay, ...]
    gone: tuple[FeedDay, ...]
    unsure: tuple[FeedDay, ...]
    bookings: tuple[BookingView, ...]


@dataclass(frozen=True, slots=True)
class FeedBroken:
    """The calendar can't be used; the copy of `read_at`, if there is one, stands."""

    host: str
    trouble: Trouble
    read_at: datetime | None


@dataclass(frozen=True, slots=True)
class FeedBookingsOff:
    """The bookings on newly closed days were cancelled; `told` people hear of it."""

    cancelled: int
    told: int


@dataclass(frozen=True, slots=True)
class FeedBookingsKept:
    kept: int


@dataclass(frozen=True, slots=True)
class CalendarFile:
    """Bookings to come as a calendar file."""

    name: str
    content: str
    bookings: int
    everyone: bool
