"""What the desk answers about claims."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.model import FaultId
from clubbot.rules.results.fault import ClaimLine, FaultLine, FaultStep
from clubbot.rules.results.shared import BookingView, KitRef, Swap


@dataclass(frozen=True, slots=True)
class ClaimedItem:
    """A thing that is fitted to the kit; what isn't noted is empty or None."""

    kind: str
    serial: str
    bought_on: date | None
    warranty_until: date | None
    price_cents: int | None = None


@dataclass(frozen=True, slots=True)
class RunTest:
    """A run-time test: so many minutes of driving from a full charge.

    Not `ended`: it still ran then.
    """

    day: date
    minutes: int
    ended: bool = True


@dataclass(frozen=True, slots=True)
class ClaimLetter:
    """What a letter to the supplier says; `mended` where a check is noted as having helped.

    What people said stands in it without the names that the club knows.

    `photos` and `videos` are those that an adult has looked through, `unseen` the others. `runs`
    are this battery's run-time tests, `others` the last one of each other kit, in minutes.
    """

    fault: FaultLine
    items: tuple[ClaimedItem, ...]
    photos: int
    videos: int
    club: str
    by: str
    mended: bool
    unseen: int = 0
    has_video: bool = False
    steps: tuple[FaultStep, ...] = ()
    runs: tuple[RunTest, ...] = ()
    others: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ClaimSent:
    """The fault stays open and waits for the supplier; `in_use`: its kit can still be booked.

    `danger`: what is handed over may hurt somebody.
    """

    number: int
    id: FaultId
    kit: KitRef | None
    thing: str
    in_use: bool
    danger: bool = False


@dataclass(frozen=True, slots=True)
class ClaimStands:
    """A letter is out: until when an answer is promised, and what may come back.

    `danger`: what is handed over may hurt somebody; `mendable`: it may come back repaired.
    """

    claim: ClaimLine
    thing: str
    danger: bool = False
    mendable: bool = True


@dataclass(frozen=True, slots=True)
class ClaimsOut:
    """All letters that the supplier has not answered."""

    claims: tuple[ClaimLine, ...]


@dataclass(frozen=True, slots=True)
class SerialWanted:
    """Something new came: what is written on it?"""

    number: int
    id: FaultId
    thing: str


@dataclass(frozen=True, slots=True)
class ClaimEnded:
    """What came of a claim: `outcome` is repaired, replaced or refused.

    `thing` and `serial` are what is in the kit now. `usable`: the kit may be used. `danger`: what
    is still here, or went, may hurt somebody.
    """

    number: int
    id: FaultId
    outcome: str
    kit: KitRef | None
    thing: str
    serial: str
    usable: bool
    swaps: tuple[Swap, ...] = ()
    short: tuple[BookingView, ...] = ()
    danger: bool = False
