"""What the desk answers to an adult who hands the club over to another."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from clubbot.rules.results.absence import AwayLine
from clubbot.rules.results.club import ClubView
from clubbot.rules.results.fault import FaultLine
from clubbot.rules.results.handover import OutLine
from clubbot.rules.results.shared import BookingView, KitRef


@dataclass(frozen=True, slots=True)
class OpenClaim:
    """A letter that the supplier hasn't settled; `promised` is the day they named."""

    fault: FaultLine
    sent_at: datetime
    promised: date | None


@dataclass(frozen=True, slots=True)
class Quirks:
    """What is odd about a kit.

    `again` are (symptom, how often within the last year); `worn` is how likely the battery is
    worn, in percent, 0 where nobody said anything of it.
    """

    kit: KitRef
    faults: tuple[FaultLine, ...]
    again: tuple[tuple[str, int], ...]
    held: str | None
    withdrawn: str | None
    missing: tuple[tuple[str, int], ...]
    worn: int
    flat_starts: int
    lost: bool


@dataclass(frozen=True, slots=True)
class HandoverPaper:
    """All that whoever takes over needs; what nobody has said yet is empty.

    `orders` are the parts still to come and how many, `ordered_at` is when the last were ordered.
    """

    club: ClubView
    day: date
    by: str
    leaders: tuple[str, ...]
    co_leaders: tuple[str, ...]
    helpers: tuple[str, ...]
    students: int
    door_phones: int
    away: tuple[AwayLine, ...]
    groups: tuple[str, ...]
    keys: str
    runs_on: str
    account_of: str
    hand_in: str
    claims: tuple[OpenClaim, ...]
    orders: tuple[tuple[str, int], ...]
    ordered_at: datetime | None
    quirks: tuple[Quirks, ...]
    out: tuple[OutLine, ...]
    kept: tuple[BookingView, ...]


@dataclass(frozen=True, slots=True)
class OnlyLeader:
    """For a leader who is the only one of the club; `adults`: how many other adults there are."""

    adults: int


@dataclass(frozen=True, slots=True)
class CodesGuessed:
    """For leaders: somebody tries codes that nobody made; that account has to wait by now."""

    tries: int
