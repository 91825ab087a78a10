"""What the booking engine is asked and what it answers.

Minutes are driving minutes; windows are half-open UTC spans; a gap is a `timedelta`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import NewType

from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId, Window

ResourceId = NewType("ResourceId", int)


@dataclass(frozen=True, slots=True)
class Battery:
    """What a kit's battery gives between two moments at which a charge is certain.

    `gives` is in driving minutes from a full charge, at the quantile that the club has set;
    `used` are those driven since the last charge. `charges` are the instants, in order, at which
    a charge is certain. Up to the first of them the budget is hard (for good where there is
    none); beyond it a kit whose budget would be exceeded is only avoided.
    """

    gives: int
    used: int = 0
    charges: tuple[datetime, ...] = ()

    def __post_init__(self) -> None:
        if any(later <= earlier for earlier, later in pairwise(self.charges)):
            raise ValueError("charges are given in order, each once")


@dataclass(frozen=True, slots=True)
class FleetKit:
    """A kit as availability sees it.

    `blocked` are the spans in which it can't be had: out of use, on hold, late until.
    `uses` counts earlier bookings, for even wear.
    """

    id: KitId
    kit_type: KitTypeId
    blocked: tuple[Window, ...] = ()
    battery: Battery | None = None
    uses: int = 0


@dataclass(frozen=True, slots=True)
class Fleet:
    """All that can be booked; `gap` must lie between two teams on the same kit."""

    kits: tuple[FleetKit, ...]
    resources: Mapping[ResourceId, int] = field(default_factory=dict)
    gap: timedelta = timedelta(0)


@dataclass(frozen=True, slots=True)
class Demand:
    """One booking's want of kits of one type, with the resources that go along.

    `fixed` are the kits that may not move: named, kept built, or given out; they may be of any
    type. The others, `count - len(fixed)` of `kit_type`, may be any. `told` are the labels that
    people were told, `usual` those that the team had last time. `driving_minutes` is per kit.
    No gap is kept between windows of the same `group`; without a group a booking is a team of
    its own. A `keep` holds its kits against other teams only. `firm` kits are in a team's hands:
    like a keep, a new plan never gives them up. A booking of several kit types is several
    demands of the same booking.
    """

    booking: BookingId
    window: Window
    kit_type: KitTypeId
    count: int
    group: TeamId | None = None
    fixed: tuple[KitId, ...] = ()
    told: tuple[KitId, ...] = ()
    usual: tuple[KitId, ...] = ()
    driving_minutes: int = 0
    resources: Mapping[ResourceId, int] = field(default_factory=dict)
    keep: bool = False
    firm: bool = False

    def __post_init__(self) -> None:
        if len(self.fixed) > self.count or len(set(self.fixed)) < len(self.fixed):
            raise ValueError("the fixed kits are distinct and no more than are wanted")
        if self.driving_minutes < 0 or any(count < 0 for count in self.resources.values()):
            raise ValueError("nothing can be wanted less than not at all")

    @property
    def movable(self) -> int:
        """How many of its kits may still be any of the type."""
        return self.count - len(self.fixed)


@dataclass(frozen=True, slots=True)
class Change:
    """A booking whose told labels no longer hold."""

    booking: BookingId
    told: tuple[KitId, ...]
    now: tuple[KitId, ...]


@dataclass(frozen=True, slots=True)
class Possible:
    """An assignment exists; this is the preferred one.

    `assignment` covers the request and the bookings that are connected with it in time; all
    others keep what they have. `best` is False when the search for a still better one was cut
    short: the yes is certain, only the choice of kits may be improved.
    """

    assignment: Mapping[BookingId, tuple[KitId, ...]]
    changes: tuple[Change, ...] = ()
    best: bool = True


class Limit(StrEnum):
    """What stands in the way."""

    KITS = "kits"
    RESOURCE = "resource"
    BATTERY = "battery"
    NAMED = "named kit taken"


@dataclass(frozen=True, slots=True)
class Impossible:
    """No assignment exists.

    `possible` is how many kits could be had instead in that window (of the resource, where that
    is the limit: how many are left). `kits` are the named ones that can't be had, `taken_by` the
    booking whose fixed label is in the way, where there is just that. `already` says that the
    bookings can't all be met even without the request.
    """

    limit: Limit
    possible: int
    kits: tuple[KitId, ...] = ()
    taken_by: BookingId | None = None
    resource: ResourceId | None = None
    already: bool = False


@dataclass(frozen=True, slots=True)
class Undecided:
    """The exact search ran out of its limit: hold the request and ask a leader."""


Answer = Possible | Impossible | Undecided


class OfferKind(StrEnum):
    """How an alternative differs from what was asked."""

    FEWER = "fewer"
    OTHER_KITS = "other kits"
    OTHER_TIME = "other time"
    SESSION = "next session"


@dataclass(frozen=True, slots=True)
class Offer:
    """A request near the one refused, and the yes it would get."""

    kind: OfferKind
    request: Demand
    answer: Possible


@dataclass(frozen=True, slots=True)
class Plan:
    """Most bookings met, then fewest labels changed, then the usual order of preference.

    `best` is False when that could not be proved within the limit.
    """

    assignment: Mapping[BookingId, tuple[KitId, ...]]
    changed: tuple[Change, ...]
    unmet: tuple[BookingId, ...]
    best: bool = True


@dataclass(frozen=True, slots=True)
class Free:
    """What can still be promised in a window.

    `counts` per kit type is what one more booking could have. `kits` can all be had together by
    name, and nobody was told one of them.
    """

    counts: Mapping[KitTypeId, int]
    kits: tuple[KitId, ...]
