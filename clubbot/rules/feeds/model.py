"""What is read from a school's calendar."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from clubbot.rules.model import ClubId

AHEAD_DAYS = 400
"""How far ahead closures are taken: a school year and a little more."""
LONGEST_WHY = 80


@dataclass(frozen=True, slots=True)
class FeedDay:
    """Days that a calendar speaks of, both ends included.

    `key` stays the same as long as the entry keeps its text and its first day. `sure`: the school
    is closed, all day; otherwise it may be, and a person decides.
    """

    key: str
    first_day: date
    last_day: date
    why: str
    sure: bool


@dataclass(frozen=True, slots=True)
class FeedRead:
    """A calendar that could be read: how many events it has, and the days found in it."""

    events: int
    found: tuple[FeedDay, ...]


class Trouble(StrEnum):
    """Why a calendar can't be used; the last good copy stands meanwhile."""

    NOT_REACHED = "not reached"
    SLOW = "too slow"
    TOO_BIG = "too big"
    MISSING = "missing"
    REFUSED = "refused"
    SERVER = "server trouble"
    NOT_PUBLIC = "not public"
    REDIRECTS = "redirects"
    NOT_A_CALENDAR = "not a calendar"
    CUT_OFF = "cut off"
    UNREADABLE = "unreadable"
    EMPTY = "empty"
    GONE = "closures gone"
    TOO_MANY = "too many"


@dataclass(frozen=True, slots=True)
class FeedToFetch:
    """What is to be fetched, and read as of which day in which zone.

    `etag` and `last_modified` name the copy that stands; empty ones ask for a whole new one.
    """

    club: ClubId
    url: str
    etag: str
    last_modified: str
    zone: ZoneInfo
    today: date


@dataclass(frozen=True, slots=True)
class FeedCopy:
    """A calendar that was fetched and read, with the server's names for this copy of it."""

    read: FeedRead
    etag: str = ""
    last_modified: str = ""


@dataclass(frozen=True, slots=True)
class Unchanged:
    """The server says that the copy that stands is still the newest."""


Fetched = FeedCopy | Unchanged | Trouble
