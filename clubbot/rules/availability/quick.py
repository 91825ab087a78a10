"""Assignments that are found without a search, and a bound that often proves them best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import nsmallest

from clubbot.rules.availability.budgets import Load
from clubbot.rules.availability.costs import Cost, cost_of
from clubbot.rules.availability.fit import fit, plain
from clubbot.rules.availability.ground import bits
from clubbot.rules.availability.matching import cheapest
from clubbot.rules.availability.parts import Part


@dataclass(frozen=True, slots=True)
class Attempt:
    """Kits per item, or none found; `hopeless` when there can't be any, `best` when proved."""

    masks: tuple[int, ...] | None
    hopeless: bool = False
    best: bool = False


def unmoved(part: Part) -> tuple[int, ...] | None:
    """Everyone's usual kits, and for the request and those without any what is free besides.

    None where that may not be the cheapest: where somebody would get a kit that isn't the usual
    one, was told another, or has one that is worn more, and where driving counts. What the request
    lacks of its own usual kits others have as theirs, and lose one for each that they give up: so
    nothing is cheaper, and no proof is needed.
    """
    kits = part.ground.kits
    least = min((kit.uses for kit in kits), default=0)
    worn = sum(1 << number for number, kit in enumerate(kits) if kit.uses > least)
    request = part.ground.items[-1].demand
    masks: list[int] = [0] * len(part.items)
    newcomers: list[int] = []
    for number, item in enumerate(part.items):
        if (item.drive and part.ground.budgets) or item.usual & worn:
            return None
        if not item.need:
            continue
        if item.demand is request and not item.told:
            newcomers.insert(0, number)
        elif not item.usual:
            newcomers.append(number)
        else:
            if item.usual.bit_count() != item.need or (item.told and item.usual & ~item.told):
                return None
            for other in bits(part.clash[number] & ((1 << number) - 1)):
                if masks[other] & item.usual:
                    return None
            masks[number] = item.usual
    return _with_newcomers(part, masks, newcomers, worn)


def _with_newcomers(
    part: Part, masks: list[int], newcomers: Sequence[int], worn: int
) -> tuple[int, ...] | None:
    """Add free kits for these items one after the other, their usual ones first."""
    for number in newcomers:
        item = part.items[number]
        free = (item.told or item.allowed) & ~worn
        for other in bits(part.clash[number]):
            free &= ~masks[other]
        if free.bit_count() < item.need:
            return None
        for _ in range(item.need):
            liked = free & item.usual or free
            masks[number] |= liked & -liked
            free &= ~(liked & -liked)
    return tuple(masks)


def attempt(part: Part, *, prefer: bool) -> Attempt:
    """Any assignment, or with `prefer` one that is cheap and often the cheapest.

    That serves one set of overlapping items after the other, each set at its least cost.
    A set alone, with all else out of its way, is a lower bound: where one can't be served nothing
    can, and where all cost no more than that, nothing is cheaper.
    """
    if not prefer:
        fitted = _fitted(part)
        if fitted.masks is not None or fitted.hopeless:
            return fitted
    cost = cost_of(part)
    cliques = _cliques(part)
    bound = 0
    if len(cliques) > 1:
        for clique in cliques:
            alone = _serve(part, clique, [0] * len(part.items), dict(part.load), cost)
            if alone is None:
                return Attempt(None, hopeless=True)
            bound += alone
    masks, load, total = [0] * len(part.items), dict(part.load), 0
    for clique in cliques:
        price = _serve(part, clique, masks, load, cost)
        if price is None:
            return Attempt(None, hopeless=True) if len(cliques) == 1 else _fitted(part)
        total += price
    return Attempt(tuple(masks), best=len(cliques) == 1 or total == bound)


def _fitted(part: Part) -> Attempt:
    alike = plain(part)
    masks = fit(part, alike=alike)
    return Attempt(masks, hopeless=alike and masks is None)


def _cliques(part: Part) -> list[list[int]]:
    """The items, in order, cut into runs in which no two can share a kit."""
    cliques: list[list[int]] = []
    members = 0
    for number, clash in enumerate(part.clash):
        if not part.items[number].need:
            continue
        if cliques and members & ~clash == 0:
            cliques[-1].append(number)
            members |= 1 << number
        else:
            cliques.append([number])
            members = 1 << number
    return cliques


def _serve(
    part: Part, clique: Sequence[int], masks: list[int], load: Load, cost: Cost
) -> int | None:
    """Adds the clique's cheapest kits to `masks` and `load`; its cost, or None if it can't be."""
    budgets = part.ground.budgets
    prices: list[dict[int, int]] = []
    for number in clique:
        item = part.items[number]
        free = item.allowed
        for other in bits(part.clash[number]):
            free &= ~masks[other]
        prices.append(
            {
                kit: cost(item, kit, load)
                for kit in bits(free)
                if not item.drive or budgets.fits(load, kit, item.start, item.end, item.drive)
            }
        )
    chosen = _choose([part.items[number].need for number in clique], prices)
    if chosen is None:
        return None
    total = 0
    for number, price, kits in zip(clique, prices, chosen, strict=True):
        item = part.items[number]
        for kit in kits:
            total += price[kit]
            masks[number] |= 1 << kit
            budgets.add(load, kit, item.start, item.end, item.drive)
    return total


def _choose(needs: Sequence[int], prices: Sequence[dict[int, int]]) -> list[list[int]] | None:
    """The cheapest distinct kits for each."""
    if any(len(price) < need for need, price in zip(needs, prices, strict=True)):
        return None
    if len(needs) == 1:
        price = prices[0]
        return [nsmallest(needs[0], price, key=lambda kit: (price[kit], kit))]
    columns = sorted({kit for price in prices for kit in price})
    if sum(needs) > len(columns):
        return None
    rows, owners = [], []
    for who, (need, price) in enumerate(zip(needs, prices, strict=True)):
        row = [price.get(kit) for kit in columns]
        rows += [row] * need
        owners += [who] * need
    found = cheapest(rows)
    if found is None:
        return None
    chosen: list[list[int]] = [[] for _ in needs]
    for who, column in zip(owners, found, strict=True):
        chosen[who].append(columns[column])
    return chosen
