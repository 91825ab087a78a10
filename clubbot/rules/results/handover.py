"""What the desk answers about giving out, taking back and passing on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from clubbot.rules.model import KitId
from clubbot.rules.results.counting import CountLine
from clubbot.rules.results.fault import FaultLine
from clubbot.rules.results.mixing import MixAsked, MixNoted
from clubbot.rules.results.shared import BookingView, KitRef, SessionRef, Swap, TeamRef


@dataclass(frozen=True, slots=True)
class HandedOut:
    kits: tuple[KitRef, ...]
    team: TeamRef | None
    due: datetime
    number: int | None = None
    swaps: tuple[Swap, ...] = ()
    mixes: tuple[MixNoted, ...] = ()


@dataclass(frozen=True, slots=True)
class SessionHandedOut:
    """All that a session's bookings get; `short` are teams that could not get all their kits."""

    given: tuple[HandedOut, ...]
    short: tuple[BookingView, ...] = ()
    mixes: tuple[MixNoted, ...] = ()


@dataclass(frozen=True, slots=True)
class TeamNeeded:
    """Which team gets these kits? One tap decides."""

    kits: tuple[KitRef, ...]
    teams: tuple[TeamRef, ...]
    passing: bool = False


@dataclass(frozen=True, slots=True)
class SaidBack:
    kits: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class TakenBack:
    """`still_out` are the kits that are out and due by now; `count` those to count then.

    `mixes` are questions: are these units and tablets apart again?
    """

    kits: tuple[KitRef, ...]
    still_out: tuple[KitRef, ...] = ()
    count: tuple[CountLine, ...] = ()
    mixes: tuple[MixAsked, ...] = ()


@dataclass(frozen=True, slots=True)
class PassedOn:
    kits: tuple[KitRef, ...]
    team: TeamRef
    due: datetime


@dataclass(frozen=True, slots=True)
class OutLine:
    kit: KitRef
    team: TeamRef | None
    due: datetime | None
    late: bool
    said_back: bool


@dataclass(frozen=True, slots=True)
class WhatIsOut:
    """Kits that are out, for choosing which of them are back."""

    lines: tuple[OutLine, ...]


@dataclass(frozen=True, slots=True)
class WhatIsMissing:
    """Kits that are out and due, for tapping those that are missing: the rest is back."""

    lines: tuple[OutLine, ...]
    missing: tuple[KitId, ...]


@dataclass(frozen=True, slots=True)
class TodayBooking:
    booking: BookingView
    changed: tuple[str, str] | None
    """(labels this team had last time, labels now) where they differ."""
    problems: tuple[tuple[str, str], ...] = ()
    """(label, why it isn't ready)."""
    over: bool = False
    """All its kits came back, or went on to others."""


@dataclass(frozen=True, slots=True)
class TodaySession:
    session: SessionRef
    adult: str | None
    bookings: tuple[TodayBooking, ...]


ToDo = Literal["charge", "fetch", "look", "swap", "fill", "plug"]


@dataclass(frozen=True, slots=True)
class Todo:
    """What to do about a kit before a session, and `why` it isn't ready.

    Charge its battery, fetch it, look at it, swap it, fill its tray, or plug its tablet in.
    """

    what: ToDo
    kit: KitRef
    number: int
    team: TeamRef | None
    why: str


@dataclass(frozen=True, slots=True)
class Today:
    """`todo` is in the order to do it; bookings are in the order to show them."""

    day: date
    sessions: tuple[TodaySession, ...]
    others: tuple[TodayBooking, ...]
    out: tuple[OutLine, ...]
    not_usable: tuple[tuple[str, str], ...]
    faults: int
    kept: tuple[BookingView, ...] = ()
    closed: str | None = None
    todo: tuple[Todo, ...] = ()
    tablets: tuple[tuple[str, str], ...] = ()
    """(label of a kit, label on the tablet that is with it) where they differ."""


@dataclass(frozen=True, slots=True)
class ListCopy:
    """A message that shows today's list, and the role of the person who has it."""

    chat_id: int
    message_id: int
    role: str


@dataclass(frozen=True, slots=True)
class DayLists:
    """Today's list as it stands, None where nobody has it, and the messages that show it."""

    today: Today | None
    copies: tuple[ListCopy, ...]


@dataclass(frozen=True, slots=True)
class ListKept:
    """A message is kept up to date from now on."""


@dataclass(frozen=True, slots=True)
class KitSwapped:
    """A booking has another kit; `swaps` are the other bookings that changed with it."""

    before: KitRef
    after: KitRef
    team: TeamRef | None
    number: int
    swaps: tuple[Swap, ...] = ()


@dataclass(frozen=True, slots=True)
class KitCard:
    """One kit as this person may see it; `team` is None for those who may not know."""

    kit: KitRef
    kit_type: str
    out: bool
    team: TeamRef | None
    due: datetime | None
    late: bool
    said_back: bool
    held: str | None
    withdrawn: str | None
    charged_at: datetime | None
    faults: tuple[FaultLine, ...]
    next_booking: datetime | None
    mine: bool
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Undone:
    """`what` are (kind of entry, label) of all that was taken back; `faults` went with it.

    What is about no kit, such as spares that were bought, has an empty label.
    """

    what: tuple[tuple[str, str], ...]
    said_at: datetime
    faults: tuple[int, ...] = ()
