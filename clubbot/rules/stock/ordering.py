"""What to put on this term's order: a line for each part, with the figures that led to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from clubbot.rules.stock.books import Key, Loss, Stock
from clubbot.rules.stock.demand import Seen, base_stock, chances, packs


@dataclass(frozen=True, slots=True)
class Part:
    """A line of a contents list: so many in each of the type's kits; None where nobody told it.

    `pack` is how many are sold together, `price_cents` what the pack costs.
    """

    key: Key
    name: str
    number: int
    kits: int
    big: bool = False
    pack: int | None = None
    price_cents: int | None = None


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How many sessions were watched, how many lie ahead until the next order has come.

    `chance` is that of not running out until then.
    """

    seen: int
    ahead: float
    chance: float


@dataclass(frozen=True, slots=True)
class Advice:
    """What to order of a part and why: `base` is the base stock, `enough` its own chance."""

    part: Part
    packs: int
    lost: int
    there: int
    owed: int
    base: int
    enough: float

    @property
    def pieces(self) -> int:
        return self.packs * (self.part.pack or 1)

    @property
    def cents(self) -> int | None:
        return None if self.part.price_cents is None else self.packs * self.part.price_cents


def advise(
    parts: Sequence[Part],
    stock: Mapping[Key, Stock],
    losses: Sequence[Loss],
    owed: Mapping[Key, int],
    rhythm: Rhythm,
) -> tuple[Advice, ...]:
    """Return a line for each part, also for those of which there are enough.

    `losses` are those of the sessions watched, `owed` is what trays lack that are to be filled.
    What was found without a home counts as there; what is at the supplier may never come back.
    """
    made = []
    for part in parts:
        bouts = tuple(loss.number for loss in losses if loss.key == part.key)
        seen = Seen(bouts, rhythm.seen, part.number * part.kits, part.big)
        base, enough = base_stock(chances(seen, rhythm.ahead), rhythm.chance)
        had = stock.get(part.key, Stock())
        there = had.shelf + had.found + had.ordered
        wanted = packs(base, there, owed.get(part.key, 0), part.pack or 1)
        made.append(Advice(part, wanted, sum(bouts), there, owed.get(part.key, 0), base, enough))
    return tuple(made)
