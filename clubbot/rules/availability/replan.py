"""A new plan when the world has changed: most bookings met, fewest labels changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from clubbot.rules.availability.depth import resource_left
from clubbot.rules.availability.exact import Found, Shared, search
from clubbot.rules.availability.ground import Ground, Item, bits
from clubbot.rules.availability.model import Demand, Fleet, Plan, ResourceId
from clubbot.rules.availability.parts import part_of
from clubbot.rules.availability.settle import (
    Share,
    by_booking,
    changes_of,
    in_told_order,
    placed_part,
)
from clubbot.rules.availability.solve import Care, solve
from clubbot.rules.model import BookingId

SECONDS = 5.0
"""How long the exact search may take for one group of bookings that bear on each other."""

_Kits = dict[int, int]
"""The movable kits given, by the identity of the demand; one that isn't in it is not met."""


def replan(fleet: Fleet, demands: Sequence[Demand], *, seconds: float = SECONDS) -> Plan:
    """Meets the most bookings and, of the plans that do, changes the fewest told labels.

    Beyond that the preferences are those of a request. A booking is unmet if a fixed kit of it is
    blocked in its window, or taken by what stays. What is firm, or a keep, stays where it is and
    is given up for nobody; it is unmet only if its kits are blocked, or if further kits that it
    wants can't be had. All demands of a booking are met or none. The assignment is of those met.
    """
    stays = [demand for demand in demands if demand.firm or demand.keep]
    facts = Ground(fleet, stays)
    lost = {demand.booking for demand in demands if not _reachable(facts, demand)}
    items = [_item(facts, demand) for demand in demands if demand.booking not in lost]
    crowds = _crowds(fleet, demands, items)
    best = True
    shares: list[Share] = []
    for group in _groups(facts, items, crowds):
        kits, proved = _plan(fleet, stays, facts, group, crowds, seconds)
        best = best and proved
        for item in group:
            mask = kits.get(id(item.demand))
            if mask is None:
                lost.add(item.demand.booking)
            else:
                shares.append((item.demand, in_told_order(item.demand, facts.ids(mask))))
    met = [share for share in shares if share[0].booking not in lost]
    unmet = dict.fromkeys(demand.booking for demand in demands if demand.booking in lost)
    return Plan(by_booking(met), changes_of(met), tuple(unmet), best)


def _reachable(facts: Ground, demand: Demand) -> bool:
    """False when a fixed kit is gone, blocked, flat, or with someone who keeps it."""
    item = facts.item(demand)
    if item.held.bit_count() < len(demand.fixed) or item.held & facts.out_of_use(item):
        return False
    if demand.firm or demand.keep:
        return True
    flat = any(
        not facts.budgets.fits(facts.budgets.base, kit, item.start, item.end, item.drive)
        for kit in bits(item.held)
    )
    return not flat and not item.held & facts.taken(item, facts.fixed)


def _item(facts: Ground, demand: Demand) -> Item:
    """The demand on what stays; it holds its fixed kits itself unless they stay too."""
    item = facts.item(demand)
    placed = facts.placed(item, [other for other in facts.fixed if other.demand is not demand])
    return placed if demand.firm or demand.keep else replace(placed, held=item.held)


@dataclass(frozen=True, slots=True)
class _Crowd:
    """Demands that want more of a resource at one moment than what stays leaves of it."""

    wants: dict[int, int]
    left: int


def _crowds(fleet: Fleet, demands: Sequence[Demand], items: Sequence[Item]) -> list[_Crowd]:
    found = []
    able = {id(item.demand) for item in items}
    resources: set[ResourceId] = {resource for demand in demands for resource in demand.resources}
    for resource in sorted(resources):
        users = [demand for demand in demands if demand.resources.get(resource)]
        for moment in sorted({demand.window.start for demand in users}):
            now = [d for d in users if d.window.start <= moment < d.window.end]
            left = fleet.resources.get(resource, 0)
            left -= sum(d.resources[resource] for d in now if d.firm or d.keep)
            wants = {
                id(d): d.resources[resource]
                for d in now
                if id(d) in able and not (d.firm or d.keep)
            }
            if sum(wants.values()) > left:
                found.append(_Crowd(wants, max(0, left)))
    return found


def _groups(facts: Ground, items: Sequence[Item], crowds: Sequence[_Crowd]) -> list[list[Item]]:
    """Items that bear on each other: by kits, by a charge, by a scarce resource, as one booking."""
    leader = list(range(len(items)))

    def find(number: int) -> int:
        while leader[number] != number:
            leader[number] = leader[leader[number]]
            number = leader[number]
        return number

    drains = [_drained(facts, item) for item in items]
    ordered = sorted(range(len(items)), key=lambda number: items[number].start)
    running: list[int] = []
    for number in ordered:
        item = items[number]
        running = [n for n in running if item.start < items[n].end + facts.gap]
        for other in running:
            share = (item.allowed | item.held) & (items[other].allowed | items[other].held)
            if share and facts.clash(item, items[other]):
                leader[find(number)] = find(other)
        running.append(number)
    place = {id(item.demand): number for number, item in enumerate(items)}
    joined = [[place[key] for key in crowd.wants] for crowd in crowds]
    for kit in range(len(facts.kits)):
        joined.append([number for number, mask in enumerate(drains) if mask >> kit & 1])
    bookings: dict[BookingId, list[int]] = {}
    for number, item in enumerate(items):
        bookings.setdefault(item.demand.booking, []).append(number)
    for together in (*joined, *bookings.values()):
        for number in together[1:]:
            leader[find(number)] = find(together[0])
    groups: dict[int, list[Item]] = {}
    for number, item in enumerate(items):
        groups.setdefault(find(number), []).append(item)
    return list(groups.values())


def _drained(facts: Ground, item: Item) -> int:
    """The kits on whose charge, up to the next certain one, the item might drive."""
    mask = 0
    for kit in bits(item.allowed | item.held if item.drive else 0):
        if 0 in facts.budgets.spans(kit, item.start, item.end):
            mask |= 1 << kit
    return mask


def _plan(
    fleet: Fleet,
    stays: Sequence[Demand],
    facts: Ground,
    group: Sequence[Item],
    crowds: Sequence[_Crowd],
    seconds: float,
) -> tuple[_Kits, bool]:
    """Kits for those of the group that are met; whether nothing better exists."""
    inside = {id(item.demand) for item in group}
    crowds = [crowd for crowd in crowds if inside & crowd.wants.keys()]
    everyone = None if crowds else _everyone(fleet, stays, group, seconds, Care.BEST)
    if everyone is not None:
        return everyone
    part = part_of(facts, group, facts.budgets.base)
    place = {id(item.demand): number for number, item in enumerate(part.items)}
    shared = [
        Shared(tuple((place[key], want) for key, want in crowd.wants.items()), crowd.left)
        for crowd in crowds
    ]
    found = search(part, seconds, spare=[True] * len(part.items), shared=shared)
    if not isinstance(found, Found):
        return _one_by_one(fleet, stays, part.items, seconds), False
    kits = {
        id(item.demand): mask
        for item, mask, met in zip(part.items, found.masks, found.met, strict=True)
        if met
    }
    return kits, found.best


def _everyone(
    fleet: Fleet, stays: Sequence[Demand], group: Sequence[Item], seconds: float, care: Care
) -> tuple[_Kits, bool] | None:
    """The preferred kits for the whole group; None when not all can be met for certain."""
    staying = {id(demand) for demand in stays}
    own = [item.demand for item in group if id(item.demand) not in staying]
    ground = Ground(fleet, [*stays, *own])
    inside = {id(item.demand) for item in group}
    items = [item for item in ground.items if id(item.demand) in inside]
    for item in items:
        if id(item.demand) not in staying:
            others = [other for other in ground.fixed if other is not item]
            if item.held & ground.taken(item, others) or ground.overdrawn(item):
                return None
    kits = dict.fromkeys(inside, 0)
    best = True
    for kit_type in sorted({item.demand.kit_type for item in items if item.need}):
        needy = [item for item in items if item.need and item.demand.kit_type == kit_type]
        part = placed_part(ground, needy)
        found = solve(part, seconds, care)
        if not isinstance(found, Found):
            return None
        best = best and found.best
        for item, mask in zip(part.items, found.masks, strict=True):
            kits[id(item.demand)] = mask
    return kits, best


def _one_by_one(
    fleet: Fleet, stays: Sequence[Demand], group: Sequence[Item], seconds: float
) -> _Kits:
    """Kits for those of the group, first to start first, that can be met beside those before."""
    met: list[Item] = []
    kits: _Kits = {}
    for item in group:
        before = [*stays, *(other.demand for other in met)]
        if resource_left(fleet, before, item.demand) is None:
            tried = _everyone(fleet, stays, [*met, item], seconds / len(group), Care.FAIR)
            if tried is not None:
                met.append(item)
                kits = tried[0]
    return kits
