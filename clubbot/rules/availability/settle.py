"""Solving the parts of a ground that its last demand, the request, bears on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clubbot.rules.availability.depth import enough
from clubbot.rules.availability.exact import Found
from clubbot.rules.availability.ground import Ground, Item, bits
from clubbot.rules.availability.model import Change, Demand, Possible
from clubbot.rules.availability.parts import Part, connected, part_of
from clubbot.rules.availability.programme import Verdict
from clubbot.rules.availability.quick import unmoved
from clubbot.rules.availability.solve import Care, solve
from clubbot.rules.model import BookingId, KitId

Share = tuple[Demand, tuple[KitId, ...]]
"""A demand and its kits."""


def settle(ground: Ground, seconds: float, care: Care) -> Possible | Verdict:
    """An assignment of the request and what is connected with it."""
    parts = parts_for(ground)
    found = _solved(parts, seconds, care)
    if isinstance(found, Verdict):
        return found
    request = ground.items[-1].demand
    shares: list[Share] = []
    for part, outcome in zip(parts, found, strict=True):
        for item, mask in zip(part.items, outcome.masks, strict=True):
            shares.append((item.demand, in_told_order(item.demand, ground.ids(mask))))
    if not any(demand is request for demand, _ in shares):
        shares.append((request, request.fixed))
    best = all(outcome.best for outcome in found)
    return Possible(by_booking(shares), changes_of(shares), best)


def fits(ground: Ground, need: int, seconds: float) -> bool | None:
    """Whether the request could have `need` movable kits; None when the limit came first."""
    found = _solved(parts_for(ground.wanting(need)), seconds, Care.ANY)
    return None if found is Verdict.UNSURE else found is not Verdict.NO


def most(ground: Ground, at_most: int, seconds: float) -> int:
    """How many movable kits, up to `at_most`, the request could have for certain.

    -1 where the others can't all be met even without it.
    """
    low, high = -1, at_most
    while low < high:
        middle = (low + high + 1) // 2
        if all(enough(part) for part in parts_for(ground.wanting(middle))):
            low = middle
        else:
            high = middle - 1
    high, low = low, -1
    middle = high
    while low < high:
        if fits(ground, middle, seconds):
            low = middle
        else:
            high = middle - 1
        middle = (low + high + 1) // 2
    return low


def _solved(parts: Sequence[Part], seconds: float, care: Care) -> list[Found] | Verdict:
    easy = [unmoved(part) if care else None for part in parts]
    if not all(known is not None or enough(part) for part, known in zip(parts, easy, strict=True)):
        return Verdict.NO
    solved: list[Found] = []
    unsure = False
    for part, known in zip(parts, easy, strict=True):
        if known is not None:
            solved.append(Found(known, (True,) * len(known), best=True))
            continue
        found = solve(part, seconds / len(parts), care)
        if found is Verdict.NO:
            return found
        if isinstance(found, Found):
            solved.append(found)
        else:
            unsure = True
    return Verdict.UNSURE if unsure else solved


def parts_for(ground: Ground) -> list[Part]:
    """Per kit type that the request touches, the items that bear on it, and itself."""
    request = ground.items[-1]
    types = {ground.kits[number].kit_type for number in bits(request.held)}
    types.add(request.demand.kit_type)
    parts = []
    for kit_type in sorted(types):
        own = request.need > 0 and kit_type == request.demand.kit_type
        others = [
            item for item in ground.items[:-1] if item.need and item.demand.kit_type == kit_type
        ]
        near = connected(ground, kit_type, others, request if own else replace(request, need=0))
        if near:
            parts.append(placed_part(ground, near))
    return parts


def placed_part(ground: Ground, items: Sequence[Item]) -> Part:
    """The items on what the fixed demands leave, with the minutes promised elsewhere counted."""
    first, last = min(item.start for item in items), max(item.end for item in items)
    fixed = [
        other
        for other in ground.fixed
        if other.start < last + ground.gap and first < other.end + ground.gap
    ]
    load = dict(ground.budgets.base)
    if ground.budgets:
        inside = {id(item) for item in items}
        for other in ground.items:
            if id(other) in inside or not other.drive or not other.need:
                continue
            of_type = ground.of_type.get(other.demand.kit_type, 0)
            told = ground.mask(other.demand.told) & of_type & ~other.held
            if told.bit_count() <= other.need:
                for kit in bits(told):
                    ground.budgets.add(load, kit, other.start, other.end, other.drive, first=1)
    return part_of(ground, [ground.placed(item, fixed) for item in items], load)


def in_told_order(demand: Demand, kits: tuple[KitId, ...]) -> tuple[KitId, ...]:
    """Fixed kits first, then those told, in the order in which they were told."""
    told = [kit for kit in demand.told if kit in kits]
    return (*demand.fixed, *told, *(kit for kit in kits if kit not in told))


def change_of(demand: Demand, kits: tuple[KitId, ...]) -> Change | None:
    """The change that people must be told of, if these are the demand's kits now."""
    kept = sum(kit in kits for kit in demand.told)
    if kept == min(len(demand.told), demand.count):
        return None
    return Change(demand.booking, demand.told, kits)


def by_booking(shares: Sequence[Share]) -> dict[BookingId, tuple[KitId, ...]]:
    """The kits of each booking, its demands together."""
    kits_of: dict[BookingId, tuple[KitId, ...]] = {}
    for demand, kits in shares:
        kits_of[demand.booking] = (*kits_of.get(demand.booking, ()), *kits)
    return kits_of


def changes_of(shares: Sequence[Share]) -> tuple[Change, ...]:
    changes = (change_of(demand, kits) for demand, kits in shares)
    return tuple(change for change in changes if change is not None)
