"""What the desk answers about claims."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.results.fault import FaultLine


@dataclass(frozen=True, slots=True)
class ClaimedItem:
    """A thing that is fitted to the kit; what isn't noted is empty or None."""

    kind: str
    serial: str
    bought_on: date | None
    warranty_until: date | None


@dataclass(frozen=True, slots=True)
class ClaimLetter:
    """What a letter to the supplier says; `mended` where a check is noted as having helped."""

    fault: FaultLine
    items: tuple[ClaimedItem, ...]
    photos: int
    videos: int
    club: str
    by: str
    mended: bool


@dataclass(frozen=True, slots=True)
class ClaimSent:
    """The fault stays open and waits for the supplier."""

    number: int
