"""What became of a message that was to be sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta


@dataclass(frozen=True, slots=True)
class Sent:
    """It is there; `message_id` names its last part, and is None where nothing new was sent."""

    message_id: int | None


@dataclass(frozen=True, slots=True)
class TryAgain:
    """It surely isn't there; it may be sent again once `after` of real time is over."""

    after: timedelta


@dataclass(frozen=True, slots=True)
class Unknown:
    """It may be there or not: the answer was lost."""


@dataclass(frozen=True, slots=True)
class Gone:
    """It can't be sent, now or later; `why` is for the log and carries nobody's words."""

    why: str


Outcome = Sent | TryAgain | Unknown | Gone
