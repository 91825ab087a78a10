"""What happens to a battery, and what people say of it."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.energy.curve import Curve


@dataclass(frozen=True, slots=True)
class Drove:
    """Driven so many minutes, on without driving for some more."""

    minutes: float
    idle: float = 0.0


@dataclass(frozen=True, slots=True)
class Cycled:
    """Driven for so many minutes in all, on without driving for some more, and charged again.

    Nothing was said of it, so all it tells is how much the battery was used.
    """

    minutes: float
    idle: float = 0.0


@dataclass(frozen=True, slots=True)
class Rested:
    """Switched off for so many days."""

    days: float


@dataclass(frozen=True, slots=True)
class Charged:
    """Charged to a level; `seen` is what it showed before, where somebody said so."""

    to: float = 1.0
    seen: float | None = None


@dataclass(frozen=True, slots=True)
class OnCharger:
    """On a charger for so many minutes, from whatever level it had; one that holds less fills up
    quicker. `curve` is that of a battery of the usual run time."""

    minutes: float
    curve: Curve


@dataclass(frozen=True, slots=True)
class RunTimeTest:
    """A run-time test: from a full charge it drove so many minutes, and then stopped.

    Not `stopped`: it still ran when the test was ended.
    """

    minutes: float
    stopped: bool = True


@dataclass(frozen=True, slots=True)
class RanFlat:
    """It stopped just now; `sure` is the chance that the battery was the cause.

    `else_ran`: with another cause it would have run on; otherwise nothing is known of the level.
    """

    sure: float = 1.0
    else_ran: bool = True


@dataclass(frozen=True, slots=True)
class StillRunning:
    """Somebody said that it still ran."""


@dataclass(frozen=True, slots=True)
class Showed:
    """It showed a level, as a percentage or (`bars`) only roughly."""

    level: float
    bars: bool = False


@dataclass(frozen=True, slots=True)
class FoundFlat:
    """It was empty before anybody used it: left on or not plugged in. That accuses no battery."""


Event = (
    Drove
    | Cycled
    | Rested
    | Charged
    | OnCharger
    | RunTimeTest
    | RanFlat
    | StillRunning
    | Showed
    | FoundFlat
)
