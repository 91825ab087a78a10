"""Hall's condition and prices for one set of lots at a time, as the bounds need them.

Written apart from `clubbot.rules.energy.prices`, which looks at many sets at once, so that each may
be set against the other.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from clubbot.rules.energy.places import Lot, Places

_ROUNDS = 8
_SOME = 3
_HOPELESS = 0.92
"""After so many rounds, a share under this isn't going to rise above 1 in those that are left."""
_ROUNDING = 1e-9
_BEYOND = 1.05
"""How much more than all places are worth is aimed at in a step."""


def fitting(places: Places, lot: Lot) -> int:
    """Return the charges that could be made in a lot alone, as the bits of a number."""
    return sum(
        1 << which
        for which, job in places.jobs.items()
        if not job.own and job.steps <= min(lot.length, places.stay(which).get(lot.start, 0))
    )


def unplaced(lots: Sequence[tuple[int, int]], among: int) -> int:
    """Return how many of some charges can't each have a place of their own (Hall 1935).

    Of each lot it is known which charges fit, as bits, and how many places it has.
    """
    fit, room = [0], [0]
    for fits, places in lots:
        fit += [each | fits for each in fit]
        room += [each + places for each in room]
    return max(
        (among & ~there).bit_count() - room[-1] + elsewhere
        for there, elsewhere in zip(fit, room, strict=True)
    )


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
