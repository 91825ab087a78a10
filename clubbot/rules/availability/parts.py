"""The part of a problem that is connected in time, as items that need kits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from clubbot.rules.availability.budgets import Load
from clubbot.rules.availability.ground import Ground, Item, bits


@dataclass(frozen=True, slots=True)
class Part:
    """Items in order of their start; `clash` has, per item, the items it can't share a kit with.

    `load` are the driving minutes that are assigned already.
    """

    ground: Ground
    items: tuple[Item, ...]
    clash: tuple[int, ...]
    load: Load


def part_of(ground: Ground, items: Sequence[Item], load: Load) -> Part:
    """The items as a part, each pair compared once."""
    ordered = sorted(items, key=lambda item: (item.start, item.end))
    clash = [0] * len(ordered)
    running: list[int] = []
    for number, item in enumerate(ordered):
        running = [other for other in running if item.start < ordered[other].end + ground.gap]
        for other in running:
            if ground.clash(item, ordered[other]):
                clash[number] |= 1 << other
                clash[other] |= 1 << number
        running.append(number)
    return Part(ground, tuple(ordered), tuple(clash), load)


def connected(ground: Ground, kit_type: int, items: Sequence[Item], seed: Item) -> list[Item]:
    """Those of the items, all of one kit type, that can bear on the seed, and itself if it needs.

    They are chained to it by windows less than the gap apart, or by driving on the same charge.
    """
    horizon = _horizon(ground, kit_type)
    chains: list[list[Item]] = []
    reach = None
    for item in sorted([*items, seed], key=lambda item: item.start):
        if reach is None or item.start >= reach:
            chains.append([])
            reach = item.end + ground.gap
        chains[-1].append(item)
        reach = max(reach, item.end + ground.gap)

    def drains(chain: Sequence[Item]) -> bool:
        return any(item.drive and item.start < horizon for item in chain)

    own = next(chain for chain in chains if any(item is seed for item in chain))
    if horizon and drains(own):
        near = [item for chain in chains if chain is own or drains(chain) for item in chain]
    else:
        near = own
    return [item for item in near if item is not seed or seed.need]


def _horizon(ground: Ground, kit_type: int) -> float:
    """Until when uses of kits of the type may share a charge."""
    if not ground.budgets:
        return 0.0
    latest = 0.0
    for number in bits(ground.of_type.get(kit_type, 0)):
        if number in ground.budgets:
            until = ground.budgets.hard_until(number)
            latest = max(latest, float("inf") if until is None else until)
    return latest


def pinned(part: Part) -> Part | None:
    """The part with everyone on the labels they were told, as far as these can be had at all.

    Where this can be met, no plan changes fewer labels, and each that changes as few has these.
    None when that isn't sure: nobody was told, or what was told doesn't go together.
    """
    ground, load = part.ground, dict(part.load)
    if not any(item.told for item in part.items):
        return None
    for number, item in enumerate(part.items):
        if item.told.bit_count() > item.need:
            return None
        if any(part.items[other].told & item.told for other in bits(part.clash[number])):
            return None
        for kit in bits(item.told):
            if not ground.budgets.fits(load, kit, item.start, item.end, item.drive):
                return None
            ground.budgets.add(load, kit, item.start, item.end, item.drive)
    items = []
    for number, item in enumerate(part.items):
        lost = item.told
        for other in bits(part.clash[number]):
            lost |= part.items[other].told
        items.append(
            replace(
                item,
                need=item.need - item.told.bit_count(),
                allowed=item.allowed & ~lost,
                told=0,
                usual=item.usual & ~lost,
                held=item.told,
            )
        )
    return Part(ground, tuple(items), part.clash, load)


def pieces(part: Part) -> list[list[int]]:
    """The numbers of the items that still need kits, split into sets that don't bear on another."""
    left = 0
    for number, item in enumerate(part.items):
        if item.need:
            left |= 1 << number
    drains = 0
    if part.ground.budgets:
        for number in bits(left):
            if part.items[number].drive:
                drains |= 1 << number
    found = []
    while left:
        piece = frontier = left & -left
        while frontier:
            reached = 0
            for number in bits(frontier):
                reached |= part.clash[number]
                if drains >> number & 1:
                    reached |= drains
            frontier = reached & left & ~piece
            piece |= frontier
        left &= ~piece
        found.append(list(bits(piece)))
    return found


def piece_of(part: Part, numbers: Sequence[int]) -> Part:
    """A part of just these items, in the same order."""
    place = {number: new for new, number in enumerate(numbers)}
    clash = []
    for number in numbers:
        mask = 0
        for other in bits(part.clash[number]):
            if other in place:
                mask |= 1 << place[other]
        clash.append(mask)
    return Part(part.ground, tuple(part.items[n] for n in numbers), tuple(clash), part.load)


def cover(part: Part, users: int) -> list[int]:
    """Maximal cliques of the users that cover each pair that can't share a kit."""
    cliques: list[int] = []
    left = {number: part.clash[number] & users for number in bits(users)}
    for number in sorted(left, reverse=True):
        while left[number]:
            clique, common = 1 << number, part.clash[number] & users
            open_ = left[number]
            while common:
                choice = common & open_ or common
                other = choice.bit_length() - 1
                clique |= 1 << other
                common &= part.clash[other]
            for member in bits(clique):
                left[member] &= ~clique
            cliques.append(clique)
    return cliques
