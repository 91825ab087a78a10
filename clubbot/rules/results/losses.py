"""What the desk answers about what was lost or stolen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.results.shared import BookingView, KitRef, Swap, TeamRef

LostThing = Literal["kit", "unit", "battery", "tablet", "charger"]
Pictures = Literal["unknown", "yes", "no"]


@dataclass(frozen=True, slots=True)
class LossLine:
    """A loss for those who may know: `serials` are (kind, serial, empty where not noted).

    `team` had it last, `seen_at` is when the ledger last heard of it. `price_cents` is the sum of
    what is known, None where no price is; `unpriced` things have none.
    """

    number: int
    kit: KitRef
    thing: LostThing
    stolen: bool
    last_seen: str
    team: TeamRef | None
    seen_at: datetime | None
    serials: tuple[tuple[str, str], ...]
    price_cents: int | None
    unpriced: int
    pictures: Pictures
    said_at: datetime

    @property
    def with_tablet(self) -> bool:
        return self.thing in ("kit", "tablet")


@dataclass(frozen=True, slots=True)
class LossNoted:
    """`swaps` and `short` are what that did to the bookings."""

    loss: LossLine
    swaps: tuple[Swap, ...] = ()
    short: tuple[BookingView, ...] = ()


@dataclass(frozen=True, slots=True)
class Losses:
    """All that nobody has found yet."""

    losses: tuple[LossLine, ...]


@dataclass(frozen=True, slots=True)
class LossTold:
    """Another adult noted a loss."""

    loss: LossLine
    by: str


@dataclass(frozen=True, slots=True)
class PicturesNoted:
    number: int
    kit: KitRef
    pictures: Pictures


@dataclass(frozen=True, slots=True)
class LossFound:
    number: int
    kit: KitRef
    thing: LostThing
    swaps: tuple[Swap, ...] = ()
