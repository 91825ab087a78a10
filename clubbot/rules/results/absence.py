"""What the desk answers about being away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.model import PersonId


@dataclass(frozen=True, slots=True)
class AdultRef:
    id: PersonId
    name: str


@dataclass(frozen=True, slots=True)
class AwayLine:
    """Somebody is away on these days, both inclusive, and another adult acts for them."""

    name: str
    acting: str
    first: date
    last: date
    mine: bool


@dataclass(frozen=True, slots=True)
class AwayNoted:
    line: AwayLine


@dataclass(frozen=True, slots=True)
class AwayAsks:
    """Who is to act? One tap decides."""

    first: date
    last: date
    adults: tuple[AdultRef, ...]


@dataclass(frozen=True, slots=True)
class WhoIsAway:
    """Who is away now or will be, the first first."""

    lines: tuple[AwayLine, ...]


@dataclass(frozen=True, slots=True)
class BackAgain:
    """Nobody acts any more for the person who says so; `acting` are those who did."""

    acting: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class YouAct:
    """For the adult who is to act for another; `over`: not any more."""

    name: str
    first: date
    last: date
    over: bool
