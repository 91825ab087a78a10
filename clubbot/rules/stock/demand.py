"""How many of a part a club will lose or break, and how many it needs to have on order.

Losses of a part come in bouts: one miss, one break, of one piece or several. How often bouts come
per session has a gamma prior, so that after so many bouts in so many sessions the number to come
is negative binomial (Gelman et al., "Bayesian Data Analysis", 3rd ed., section 2.6); the sizes
are those that were seen. The sum is found by Panjer's recursion (ASTIN Bulletin 12, 1981).

An order at a fixed rhythm fills up to a base stock: the least number that covers what is lost
until the *next* order has come, over rhythm plus delivery time, with the wanted chance (Snyder and
Shen, "Fundamentals of Supply Chain Theory", 2nd ed., chapter 4: base-stock policy under periodic
review, its level at the critical ratio). What is on the shelf and on order counts towards it, what
is owed to the trays against it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

RARELY = {False: 1 / 1000, True: 1 / 10_000}
"""Bouts per piece and session that a small and a big part are lost at, before anything is seen.

Common practice, no source: a club of twelve kits with four cables each misses two in a year.
"""
WORTH = 10
"""How many sessions of watching that is worth."""
_MOST = 5_000
"""No shelf has more of a part: a search for a base stock ends there."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known of a part's losses: the size of each bout, in how many sessions.

    `pieces` is how many belong into all trays together.
    """

    bouts: tuple[int, ...]
    sessions: int
    pieces: int
    big: bool = False


def chances(seen: Seen, ahead: float) -> Iterator[float]:
    """Yield the chance that none, one, two ... are lost in the sessions ahead."""
    before = RARELY[seen.big] * max(seen.pieces, 1) * WORTH
    sizes = _sizes(before, seen.bouts)
    return _sums(before + len(seen.bouts), WORTH + seen.sessions, ahead, sizes)


def _sizes(before: float, bouts: Sequence[int]) -> list[float]:
    """Return how likely a bout is of 0, 1, 2 ... pieces; those thought of before were of one."""
    counted = Counter(bouts)
    weights = [float(counted[size]) for size in range(max([1, *bouts]) + 1)]
    weights[1] += before
    return [weight / (before + len(bouts)) for weight in weights]


def _sums(shape: float, rate: float, ahead: float, sizes: Sequence[float]) -> Iterator[float]:
    """Yield the chances of a compound negative binomial sum (gamma shape and rate, per session)."""
    more = ahead / (rate + ahead)
    found = [(1 - more) ** shape]
    yield found[0]
    while True:
        total = len(found)
        reach = range(1, min(total, len(sizes) - 1) + 1)
        found.append(
            math.fsum(
                more * (1 + (shape - 1) * size / total) * sizes[size] * found[total - size]
                for size in reach
            )
        )
        yield found[-1]


def base_stock(lost: Iterator[float], chance: float) -> tuple[int, float]:
    """Return the least number that is enough with at least this chance, and with which it is.

    `lost` are the chances of none, one, two ...
    """
    for number, enough in enumerate(accumulate(lost)):
        if enough >= chance or number == _MOST:
            return number, min(enough, 1.0)
    raise ValueError("chances that end before they add up")


def packs(base: int, there: int, owed: int, pack: int) -> int:
    """Return how many packs fill up to the base stock, from what is there or on order.

    `owed` is what the trays lack.
    """
    return max(math.ceil((base - there + owed) / pack), 0)
