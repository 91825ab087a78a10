"""Whether charges are too many for some lots, by putting a price on a place in each.

Whoever takes the cheapest places that do for it pays no more than in any plan; where all together
would pay more than all places are worth, no plan makes them all (weak duality of linear programmes:
von Neumann 1947; Gale, Kuhn and Tucker 1951). Prices start as the lots' lengths, and rise where
more is asked for than there is (a subgradient step, after Polyak 1969).
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from clubbot.rules.energy.places import Lot

_ROUNDS = 8
_SOME = 3
_HOPELESS = 0.92
"""After so many rounds, a share under this isn't going to rise above 1 in those that are left."""
_ROUNDING = 1e-9
_BEYOND = 1.05
"""How much more than all places are worth is aimed at in a step."""


def asked_for(lots: Sequence[Lot], charges: Sequence[tuple[int, int]], parts: int) -> float:
    """Return the share of their worth that the charges, as (steps, how many), would pay for lots.

    More than 1 proves that they can't all be made in these; less proves nothing. A charge is made
    in lots that follow on each other, or in so many others. It isn't looked at when it may be on.
    """
    if not charges:
        return 0.0
    ways = sorted((sum(lots[at].length for at in way), way) for way in _ways(lots, parts))
    lengths = [length for length, _ in ways]
    by_first: Counter[int] = Counter()
    for steps, many in charges:
        by_first[bisect_left(lengths, steps)] += many
    if len(ways) in by_first:
        return float("inf")
    asked = list(by_first.items())
    others = [(way[0], way[1:], way) for _, way in ways]
    prices = [float(lot.length) for lot in lots]
    share = 0.0
    for turn in range(_ROUNDS):
        cheapest = _cheapest(others, prices)
        paid = sum(many * cheapest[first][0] for first, many in asked)
        worth = sum(lot.room * price for lot, price in zip(lots, prices, strict=True))
        if not worth:
            break
        share = max(share, paid / worth)
        over = [-lot.room for lot in lots]
        for first, many in asked:
            for at in cheapest[first][1]:
                over[at] += many
        size = sum(each * each for each in over)
        if share > 1 + _ROUNDING or not size or (turn >= _SOME and share < _HOPELESS):
            break
        step = (_BEYOND * worth - paid) / size
        prices = [max(0.0, price + step * each) for price, each in zip(prices, over, strict=True)]
    return share if share > 1 + _ROUNDING else min(share, 1.0)


def _ways(lots: Sequence[Lot], parts: int) -> list[tuple[int, ...]]:
    every = range(len(lots))
    found = [way for many in range(2, parts + 1) for way in combinations(every, many)]
    for first in every:
        way: tuple[int, ...] = (first,)
        found.append(way)
        for at in range(first + 1, len(lots)):
            if lots[at - 1].end != lots[at].start:
                break
            way = (*way, at)
            if len(way) > parts or parts == 1:
                found.append(way)
    return found


def _cheapest(
    ways: Sequence[tuple[int, tuple[int, ...], tuple[int, ...]]], prices: Sequence[float]
) -> list[tuple[float, tuple[int, ...]]]:
    """Return for each way, as its first lot, the others and all, the cheapest from it on."""
    least, best = float("inf"), (float("inf"), ways[-1][2])
    found = []
    for first, others, way in reversed(ways):
        price = prices[first]
        for at in others:
            price += prices[at]
        if price < least:
            least, best = price, (price, way)
        found.append(best)
    found.reverse()
    return found
