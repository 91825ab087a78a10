"""What the desk answers while something is on the chargers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.results.charging import ChargeStep, OnNow
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class NotPutOn:
    """A unit or (`own`) tablet that isn't noted as on: for what it stands in the ledger as, or
    because it is "full", "on" already, or there is "no bay".
    """

    kit: KitRef
    own: bool
    why: str


@dataclass(frozen=True, slots=True)
class LotOn:
    """These were put on; `left` are those that were not, each with why.

    `before`: what was on the chargers already. `attended`: whether an adult is noted there now;
    `booked`: which kits are used, from when, before their charge could be done.
    """

    on: tuple[OnNow, ...]
    left: tuple[NotPutOn, ...] = ()
    before: tuple[OnNow, ...] = ()
    attended: bool = True
    booked: tuple[tuple[KitRef, datetime], ...] = ()


@dataclass(frozen=True, slots=True)
class LotLook:
    """Whoever put them on is asked whether all show that they charge."""

    on: tuple[OnNow, ...]


@dataclass(frozen=True, slots=True)
class LotShows:
    """Somebody saw that these charge."""

    on: tuple[OnNow, ...]


@dataclass(frozen=True, slots=True)
class LotNotCharging:
    """One of them doesn't show that it charges; `others` were not looked at yet."""

    which: OnNow
    others: tuple[OnNow, ...]


@dataclass(frozen=True, slots=True)
class LotOver:
    """The time of these is over; `then` are to be put on next, at one moment.

    `again`: nobody said so when it was, so that all adults are asked. `booked`: their kits are used
    now, whether or not they are full enough.
    """

    on: tuple[OnNow, ...]
    then: tuple[ChargeStep, ...]
    again: bool = False
    booked: bool = False


@dataclass(frozen=True, slots=True)
class LotDone:
    """These came off and count as charged as far as said; `swapped` is what was put on instead."""

    off: tuple[OnNow, ...]
    swapped: LotOn | None
    then: tuple[ChargeStep, ...]


@dataclass(frozen=True, slots=True)
class LotNotDone:
    """These count as not charged; `then` is what the plan says next."""

    off: tuple[OnNow, ...]
    then: tuple[ChargeStep, ...]
