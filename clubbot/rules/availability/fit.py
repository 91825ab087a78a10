"""Serving bookings in the order in which they start, each on the kits least use to the others.

Where all kits are alike to all bookings this decides: a kit that its team has just brought back,
and that others can have only after the gap, is of less use to the rest than one that anybody can
have by now, so taking it first never costs a later booking its kit. Without gaps it is interval
partitioning (Kleinberg and Tardos, Algorithm Design, section 4.1).
"""

from __future__ import annotations

from bisect import bisect_left
from heapq import nsmallest

from clubbot.rules.availability.ground import bits
from clubbot.rules.availability.parts import Part

Fit = tuple[int, ...]
"""Kits per item."""


def plain(part: Part) -> bool:
    """True when all kits are alike to all items, but for what is preferred."""
    needy = [item for item in part.items if item.need]
    if any(item.demand.keep or item.allowed != needy[0].allowed for item in needy):
        return False
    driving = part.ground.budgets and any(item.drive for item in needy)
    return not driving or not any(kit in part.ground.budgets for kit in bits(needy[0].allowed))


def fit(part: Part, *, alike: bool) -> Fit | None:
    """Kits for each item, or None; where all kits are `alike`, None only if there are none.

    Of the kits an item can have it takes the ones most lately used. Where they aren't alike,
    those first that are next fixed or blocked the soonest: so long free stretches stay whole.
    """
    ground = part.ground
    stops = {} if alike else _stops(part)
    masks, load = [0] * len(part.items), dict(part.load)
    last_use: dict[int, int] = {}
    for number, item in enumerate(part.items):
        free = item.allowed
        for other in bits(part.clash[number]):
            free &= ~masks[other]
        if free.bit_count() < item.need:
            return None
        rank: dict[int, tuple[int, int, int]] = {}
        for kit in bits(free if item.need else 0):
            if ground.budgets.fits(load, kit, item.start, item.end, item.drive):
                ahead = stops.get(kit, [])
                next_stop = bisect_left(ahead, item.end)
                stop = ahead[next_stop] if next_stop < len(ahead) else 2 * item.end
                rank[kit] = (stop, -last_use.get(kit, 0), kit)
        if len(rank) < item.need:
            return None
        for kit in nsmallest(item.need, rank, key=rank.__getitem__):
            masks[number] |= 1 << kit
            last_use[kit] = item.end
            ground.budgets.add(load, kit, item.start, item.end, item.drive)
    return tuple(masks)


def _stops(part: Part) -> dict[int, list[int]]:
    """When each kit is next fixed or blocked, in order."""
    stops: dict[int, list[int]] = {}
    blocked = [(bit, start) for bit, start, _ in part.ground.blocked]
    for mask, start in (*blocked, *((item.held, item.start) for item in part.ground.fixed)):
        for kit in bits(mask):
            stops.setdefault(kit, []).append(start)
    for moments in stops.values():
        moments.sort()
    return stops
