"""What the desk answers while something is on the chargers."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.results.charging import ChargeStep, OnNow
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class LotOn:
    """These were put on; `left` are those that were not, each with why."""

    on: tuple[OnNow, ...]
    left: tuple[tuple[KitRef, str], ...] = ()


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
    """The time of these is over; `then` are to be put on next, at one moment."""

    on: tuple[OnNow, ...]
    then: tuple[ChargeStep, ...]


@dataclass(frozen=True, slots=True)
class LotDone:
    """These came off and count as charged as far as said; `swapped` were put on in their place."""

    off: tuple[OnNow, ...]
    swapped: tuple[OnNow, ...]
    then: tuple[ChargeStep, ...]


@dataclass(frozen=True, slots=True)
class LotNotDone:
    """These count as not charged; `then` is what the plan says next."""

    off: tuple[OnNow, ...]
    then: tuple[ChargeStep, ...]
