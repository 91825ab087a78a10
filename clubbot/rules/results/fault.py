"""What the desk answers about faults and kits that may not be used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

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
class SwapOffer:
    """A kit that is free for a booking in place of the one with the fault."""

    number: int
    kit: KitRef
    instead: KitRef


@dataclass(frozen=True, slots=True)
class CheckAsked:
    """The next check of a fault; whoever asked may do it. `own` are the club's words on it."""

    fault: FaultLine
    code: str
    own: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckingEnded:
    """Checking ended: fixed, swap, adult or supplier.

    `causes` are the likely ones by code, best first, with their shares; `closed` where the fault
    is closed with this; `next_check` is what comes next for an adult or helper. `own` are the
    club's words on the first cause and the next check. `offer`: a kit to take instead. `go_on`:
    this person may go on checking although a session runs. `helped` is the check that is said to
    have mended it, where it isn't closed yet; `in_use`: the kit can still be booked; `claimable`:
    a letter to the supplier may be written.
    """

    fault: FaultLine
    end: str
    causes: tuple[tuple[str, float], ...]
    closed: bool
    next_check: str = ""
    own: tuple[str, ...] = ()
    offer: SwapOffer | None = None
    go_on: bool = False
    helped: str = ""
    in_use: bool = False
    claimable: bool = False


@dataclass(frozen=True, slots=True)
class FaultReported:
    """`joined` where an open fault of the same kind takes the report in.

    `more` is what became of it for the other kits that it named; `unknown` are kits that there
    aren't. `instead` is the fault of a kit that was named by mistake, closed with this.

    `tried` is what was done the last time, where a closed fault is back and open again. `offer`
    is a kit for the booking of now, where another is free. `care`: why only an adult touches it,
    such as glass; a value of the fault rules.
    """

    fault: FaultLine
    joined: bool
    on_hold: bool
    with_photo: bool = False
    tried: str = ""
    offer: SwapOffer | None = None
    care: str = ""
    more: tuple[FaultReported, ...] = ()
    unknown: tuple[str, ...] = ()
    instead: FaultLine | None = None


@dataclass(frozen=True, slots=True)
class FaultKitNeeded:
    """A fault, but of which kit? `unknown` are kits that it named and that there aren't."""

    said: str
    kits: tuple[KitRef, ...]
    unknown: tuple[str, ...] = ()
    with_photo: bool = False


@dataclass(frozen=True, slots=True)
class WorksAgain:
    """Whoever reported a fault says that it is none, or over; it stays open."""

    fault: FaultLine


@dataclass(frozen=True, slots=True)
class NotAFault:
    """The text doesn't sound like a fault; nothing was noted."""

    said: str


@dataclass(frozen=True, slots=True)
class DangerReported:
    """Only what a child must read; the adults are being told.

    `harm` says what may have happened to somebody, `thing` that the thing may still do harm.
    `faults` are those of the danger; `also` what was noted of other kits in the same message.
    """

    kits: tuple[KitRef, ...]
    fire: bool
    emergency_number: str
    harm: tuple[str, ...] = ()
    thing: bool = True
    faults: tuple[FaultId, ...] = ()
    also: tuple[FaultLine, ...] = ()


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
    """`causes` are what may have been behind it, by code, where nobody has said yet.

    `claim_ended`: a letter to the supplier was out, and is not waited for any more.
    """

    number: int
    kit: KitRef | None
    fix: str
    still_not_usable: bool
    id: FaultId | None = None
    causes: tuple[str, ...] = ()
    on_hold: bool = False
    claim_ended: bool = False


@dataclass(frozen=True, slots=True)
class FixWanted:
    """A fault is closed with what was done: `causes` by code, each with its usual fix.

    `again`: it was asked before, and the answer was that the writer doesn't know.
    """

    fault: FaultLine
    causes: tuple[str, ...]
    again: bool = False


@dataclass(frozen=True, slots=True)
class CauseNoted:
    """What was behind a closed fault; the next ones are judged by it."""

    number: int
    cause: str


@dataclass(frozen=True, slots=True)
class FaultCard:
    """A fault with all that became of it.

    `unseen` of its pictures nobody has looked through yet; `copied` of them are kept as files.
    `use` is how the kit stands; `things` are what of the kit may be to blame. `claimable`: a
    letter to the supplier may be written.
    """

    fault: FaultLine
    steps: tuple[FaultStep, ...]
    photos: int
    videos: int
    unseen: int
    copied: int
    use: str
    things: tuple[str, ...]
    offer: SwapOffer | None = None
    claim: ClaimLine | None = None
    claimable: bool = False


@dataclass(frozen=True, slots=True)
class ClaimLine:
    """A letter that the supplier has not answered yet."""

    fault: FaultId
    number: int
    kit: KitRef | None
    sent_at: datetime
    promised_on: date | None


@dataclass(frozen=True, slots=True)
class StalledFault:
    """An open fault in which nothing has moved for so many days."""

    fault: FaultLine
    days: int


@dataclass(frozen=True, slots=True)
class FaultsStalled:
    """What waits for somebody: faults in which nothing moves, claims without an answer."""

    faults: tuple[StalledFault, ...]
    claims: tuple[ClaimLine, ...]


@dataclass(frozen=True, slots=True)
class PictureAwaited:
    """The next photo or video of this person goes with the fault."""

    number: int
    video: bool


@dataclass(frozen=True, slots=True)
class PicturesLooked:
    """An adult has looked through a fault's pictures: no child is seen or heard."""

    number: int
    photos: int
    videos: int


@dataclass(frozen=True, slots=True)
class CopiesKept:
    number: int
    kept: int
    failed: int


@dataclass(frozen=True, slots=True)
class UseChanged:
    """`use` is what now holds; `swaps` and `short` what that did to the bookings.

    `closed` are the dangers that a release closed, as `found` by whoever looked.
    """

    kits: tuple[KitRef, ...]
    use: str
    note: str = ""
    swaps: tuple[Swap, ...] = ()
    short: tuple[BookingView, ...] = ()
    closed: tuple[int, ...] = ()
    found: str = ""
