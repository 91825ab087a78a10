"""The vocabulary that every rule shares: ids, people, windows, kits and the expected "no"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import NewType

ClubId = NewType("ClubId", int)
PersonId = NewType("PersonId", int)
TeamId = NewType("TeamId", int)
KitId = NewType("KitId", int)
KitTypeId = NewType("KitTypeId", int)
ItemId = NewType("ItemId", int)
BookingId = NewType("BookingId", int)
FaultId = NewType("FaultId", int)
NoticeId = NewType("NoticeId", int)
Seq = NewType("Seq", int)
"""A ledger entry's place in its club's own sequence."""


class Role(StrEnum):
    """What a person may do in a club; the words are the ones people read."""

    LEADER = "leader"
    CO_LEADER = "co-leader"
    HELPER = "helper"
    STUDENT = "student"
    DOOR = "door phone"
    STRANGER = "stranger"

    @property
    def adult(self) -> bool:
        """True for those who may answer for a club's safety."""
        return self in (Role.LEADER, Role.CO_LEADER)

    @property
    def staff(self) -> bool:
        """True for those who give out, take back and count."""
        return self.adult or self in (Role.HELPER, Role.DOOR)


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """A half-open span of time [start, end), both aware UTC instants."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise ValueError("a window ends after it starts")

    def overlaps(self, other: Window, gap: timedelta = timedelta(0)) -> bool:
        """True when less than `gap` would lie between the two windows."""
        return self.start < other.end + gap and other.start < self.end + gap

    @property
    def length(self) -> timedelta:
        return self.end - self.start


class ItemKind(StrEnum):
    """What a physical thing with a history of its own can be."""

    UNIT = "unit"
    BATTERY = "battery"
    TABLET = "tablet"
    CHARGER = "charger"


@dataclass(frozen=True, slots=True)
class Kit:
    """A label and what stands behind it; `id` stays when the label is changed.

    `gives` is how many driving minutes its battery gives nine times in ten; None: as its type.
    """

    id: KitId
    label: str
    kit_type: KitTypeId
    gives: int | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A physical thing that warranties and beliefs follow; `kit` is where it is fitted now."""

    id: ItemId
    kind: ItemKind
    serial: str
    kit: KitId | None


class Reason(StrEnum):
    """Why the answer is no; each has its own wording in chat.words."""

    NOT_ALLOWED = "not-allowed"
    NO_SUCH_CLUB = "no-such-club"
    UNKNOWN_KIT = "unknown-kit"
    UNKNOWN_TEAM = "unknown-team"
    UNKNOWN_BOOKING = "unknown-booking"
    UNKNOWN_FAULT = "unknown-fault"
    UNKNOWN_PERSON = "unknown-person"
    NOT_UNDERSTOOD = "not-understood"
    ZERO = "zero"
    END_BEFORE_START = "end-before-start"
    TOO_LONG = "too-long"
    PAST = "past"
    TOO_FAR = "too-far"
    OUTSIDE_HOURS = "outside-hours"
    CLOSED = "closed"
    SESSION_THERE = "session-there"
    OVER_LIMIT = "over-limit"
    NONE_FREE = "none-free"
    RESOURCE_TAKEN = "resource-taken"
    BATTERY = "battery"
    KIT_TAKEN = "kit-taken"
    ALREADY = "already"
    NOT_OUT = "not-out"
    NOTHING_WITH = "nothing-with"
    TOO_EARLY = "too-early"
    NOTHING_TO_GIVE_OUT = "nothing-to-give-out"
    OUT_OF_USE = "out-of-use"
    ON_HOLD = "on-hold"
    LAST_TOLD = "last-told"
    SAY_WHAT = "say-what"
    NOTHING_TO_UNDO = "nothing-to-undo"
    LATER_ENTRIES = "later-entries"
    CODE_WRONG = "code-wrong"
    TOO_MANY_TRIES = "too-many-tries"
    LAST_LEADER = "last-leader"
    STUDENTS_UNCONFIRMED = "students-unconfirmed"
    NO_OTHER_ADULT = "no-other-adult"
    AWAY_TOO = "away-too"
    ANSWERED = "answered"
    OUT_OF_DATE = "out-of-date"
    AT_SUPPLIER = "at-supplier"
    NOTHING_BROKEN = "nothing-broken"
    DAMAGED_BATTERY = "damaged-battery"
    OTHERS = "others"
    UNDECIDED = "undecided"
    UNKNOWN_PART = "unknown-part"
    NOT_THAT_MANY = "not-that-many"
    NO_LENDER = "no-lender"
    CANNOT_WEIGH = "cannot-weigh"
    OUTAGE = "outage"


@dataclass(frozen=True, slots=True)
class Instead:
    """Something that would be a yes: so many kits (these, where named) in a window."""

    window: Window
    count: int
    labels: tuple[str, ...] = ()
    team: TeamId | None = None


@dataclass(frozen=True, slots=True)
class Refused:
    """An expected "no": nothing has changed.

    `facts` fill the wording (labels, counts, aware datetimes); `instead` are what would be a yes,
    nearest first; `wait` is the request as it can be put on the waiting list.
    """

    reason: Reason
    facts: Mapping[str, object] = field(default_factory=dict)
    instead: tuple[Instead, ...] = ()
    wait: Instead | None = None
