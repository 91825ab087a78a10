"""What the desk answers about charging."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from clubbot.rules.model import Window
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class ChargeLine:
    kit: KitRef
    sessions: int
    charged_at: datetime | None
    uses_since: int
    why_not: str | None = None


@dataclass(frozen=True, slots=True)
class ChargeStep:
    """A kit on a bay; `last`: its charge is then done. `own`: its tablet, on its own charger."""

    kit: KitRef
    bay: int
    window: Window
    last: bool
    own: bool = False


@dataclass(frozen=True, slots=True)
class ChargeTooShort:
    """A charge of so many minutes that can't be made by its deadline."""

    kit: KitRef
    minutes: int
    deadline: datetime
    own: bool = False


@dataclass(frozen=True, slots=True)
class OnNow:
    """A unit on a bay, or (`own`) a tablet on its own charger, expected at so many per cent."""

    kit: KitRef
    own: bool
    bay: int
    until: datetime
    percent: int
    shows: bool = False


@dataclass(frozen=True, slots=True)
class ChargeSteps:
    """What to charge when, in the order of doing.

    `beyond`, `tablets_beyond`: not even full do they last their bookings; `enough`: they last them
    as they are.
    `bays`: how many there are, None where nobody said; `more_bays` more of them, or an adult in
    the room in `adult_from` or in the lunch break `lunch`, would make all of `short` possible, and
    so would `fewer` kits. `hours`: whether any are noted beside the sessions. `instead`: who could
    go in place of one that charging won't be enough for, and would last. `on`: what is on already;
    `empty`: bays that nothing is put on, for the kit on hold that was on there.

    The last charge is enough at `enough_at`; with the steps it goes on towards full. No plan has
    that before `not_before`, nor takes fewer than `moments` walks to the chargers.
    """

    steps: tuple[ChargeStep, ...]
    short: tuple[ChargeTooShort, ...]
    beyond: tuple[KitRef, ...]
    enough: tuple[KitRef, ...]
    bays: int | None
    more_bays: int | None
    adult_from: Window | None
    hours: bool
    lunch: Window | None = None
    fewer: int = 0
    not_before: datetime | None = None
    enough_at: datetime | None = None
    moments: int = 0
    on: tuple[OnNow, ...] = ()
    instead: tuple[KitRef, ...] = ()
    tablets_beyond: tuple[KitRef, ...] = ()
    empty: tuple[tuple[KitRef, int], ...] = ()


@dataclass(frozen=True, slots=True)
class ChargeList:
    """Kits with bookings in the days after `day`, or from `since` on, up to and including `until`.

    `faulty`: those whose open fault charging won't fix, each with the fault's number. `on`: what is
    on the chargers, needed or not. `to_half`: those not booked that are too empty for a long break
    in that time, each with minutes.
    """

    day: date
    until: date
    needed: tuple[ChargeLine, ...]
    idle: tuple[ChargeLine, ...]
    plan: ChargeSteps | None = None
    faulty: tuple[tuple[KitRef, int], ...] = ()
    since: datetime | None = None
    on: tuple[OnNow, ...] = ()
    to_half: tuple[tuple[KitRef, int], ...] = ()


@dataclass(frozen=True, slots=True)
class BeforeBreak:
    """What to do with the batteries before a long break; `until`: the first session after it.

    `low`: charge for so many minutes, to about half; `half`: leave; `full`: fuller than is good
    for a long rest; `unknown`: nobody knows; `held`: don't charge. `top_up`: somebody must charge
    by that day, on which the school is `shut` where no open day comes before it. `again`: the
    break has begun, and of those `low` or `unknown` nobody noted that it was done.
    """

    until: date | None
    low: tuple[tuple[KitRef, int], ...]
    half: tuple[KitRef, ...]
    full: tuple[KitRef, ...]
    held: tuple[KitRef, ...]
    top_up: date | None
    unknown: tuple[KitRef, ...] = ()
    shut: bool = False
    again: bool = False


@dataclass(frozen=True, slots=True)
class TopUp:
    """Kits that nobody charged for almost three months, each with its last charge, if noted."""

    kits: tuple[tuple[KitRef, datetime | None], ...]


@dataclass(frozen=True, slots=True)
class Charged:
    """Units, and kits of which it is the tablet, charged to so many per cent; None: to full."""

    kits: tuple[KitRef, ...]
    tablets: tuple[KitRef, ...] = ()
    percent: int | None = None


@dataclass(frozen=True, slots=True)
class BatteryCard:
    """What is believed of a kit's battery, and what that rests on.

    `level` in per cent, `run` (from a full charge) and `left` in minutes of driving: each the
    bounds that it lies between four times in five, around the middle. `driven` minutes since
    `charged_at`; `told` times something was said of it; `worn` per cent chance that it gives less
    than three quarters of the `usual` minutes. `own`: it is the kit's tablet, whose minutes are
    those that it is on; `charged_full`: whether the last charge was a full one.
    """

    kit: KitRef
    level: tuple[int, int, int]
    run: tuple[int, int, int]
    left: tuple[int, int, int]
    charged_at: datetime | None
    driven: int
    told: int
    flat_starts: int
    worn: int
    usual: int
    own: bool = False
    charged_full: bool = True
    on_hold: bool = False


@dataclass(frozen=True, slots=True)
class BatterySaid:
    """Something that was said of a battery, and what is believed of it now."""

    what: str
    percent: int | None
    minutes: int | None
    card: BatteryCard


@dataclass(frozen=True, slots=True)
class FlatCause:
    """Why a kit was found flat at the start, in the ledger's words."""

    kit: KitRef
    why: str
