"""What the desk answers about faults and kits that may not be used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.model import FaultId
from clubbot.rules.results.shared import BookingView, KitRef, Swap


@dataclass(frozen=True, slots=True)
class CheckDone:
    """A check of the knowledge base by its code; `outcome` is worked, same or cant."""

    code: str
    outcome: str
    at: datetime


@dataclass(frozen=True, slots=True)
class FaultLine:
    """A fault. `thing` is what of the kit is to blame, such as tablet; empty: the kit itself.

    `kit` is where it is now: a fault goes with the thing to blame. `watched`: it may be used.
    """

    id: FaultId
    number: int
    kit: KitRef | None
    symptom: str
    danger: bool
    said: str
    reported_at: datetime
    checked: tuple[CheckDone, ...] = ()
    at_supplier: bool = False
    thing: str = ""
    serial: str = ""
    watched: bool = False
    closed_at: datetime | None = None
    fix: str = ""


@dataclass(frozen=True, slots=True)
class FaultStep:
    """What became of a fault: `what` is one of the steps that words know, `note` people's words."""

    at: datetime
    what: str
    note: str


@dataclass(frozen=True, slots=True)
class CheckAsked:
    """The next check of a fault; whoever asked may do it."""

    fault: FaultLine
    code: str


@dataclass(frozen=True, slots=True)
class CheckingEnded:
    """Checking ended: fixed, swap, adult or supplier.

    `causes` are the likely ones by code, best first, with their shares; `closed` where the fault
    is closed with this; `next_check` is what comes next for an adult or helper.
    """

    fault: FaultLine
    end: str
    causes: tuple[tuple[str, float], ...]
    closed: bool
    next_check: str = ""


@dataclass(frozen=True, slots=True)
class FaultReported:
    """`joined` where an open fault of the same kind takes the report in.

    `tried` is what was done the last time, where a closed fault is back and open again.
    """

    fault: FaultLine
    joined: bool
    on_hold: bool
    with_photo: bool = False
    tried: str = ""


@dataclass(frozen=True, slots=True)
class FaultKitNeeded:
    """A fault, but of which kit?"""

    said: str
    kits: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class NotAFault:
    """The text doesn't sound like a fault; nothing was noted."""

    said: str


@dataclass(frozen=True, slots=True)
class DangerReported:
    """Only what a child must read; the adults are being told."""

    kits: tuple[KitRef, ...]
    fire: bool
    emergency_number: str


@dataclass(frozen=True, slots=True)
class PhotoAdded:
    number: int


@dataclass(frozen=True, slots=True)
class PhotoWithoutFault:
    """A photo came by itself, and nothing was reported just before; it wasn't kept."""


@dataclass(frozen=True, slots=True)
class OpenFaults:
    faults: tuple[FaultLine, ...]


@dataclass(frozen=True, slots=True)
class FaultClosed:
    number: int
    kit: KitRef | None
    fix: str
    still_not_usable: bool


@dataclass(frozen=True, slots=True)
class UseChanged:
    """`use` is what now holds; `swaps` and `short` what that did to the bookings."""

    kits: tuple[KitRef, ...]
    use: str
    note: str = ""
    swaps: tuple[Swap, ...] = ()
    short: tuple[BookingView, ...] = ()
