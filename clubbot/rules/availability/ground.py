"""The fleet in numbers: each kit is a bit, each instant whole microseconds.

What is fixed (named, kept built, given out) lies on the ground; what may move is an item that
needs some of the kits that the ground leaves to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import timedelta

from clubbot.rules.availability.budgets import Budgets, micros
from clubbot.rules.availability.model import Demand, Fleet
from clubbot.rules.model import KitId, TeamId

_MICROSECOND = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Item:
    """A want of `need` of the `allowed` kits; `told` and `usual` are those preferred.

    `held` are kits that come with it and may not be replaced (only where a plan may give it up).
    """

    demand: Demand
    start: int
    end: int
    need: int
    allowed: int = 0
    told: int = 0
    usual: int = 0
    held: int = 0

    @property
    def group(self) -> TeamId | None:
        return self.demand.group

    @property
    def drive(self) -> int:
        return self.demand.driving_minutes


def bits(mask: int) -> Iterator[int]:
    """The numbers of the bits set, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class Ground:
    """A fleet and the demands, each turned into numbers once."""

    def __init__(self, fleet: Fleet, demands: Iterable[Demand]) -> None:
        self.kits = fleet.kits
        self.gap = fleet.gap // _MICROSECOND
        self.number = {kit.id: number for number, kit in enumerate(fleet.kits)}
        self.of_type: dict[int, int] = {}
        self.blocked: list[tuple[int, int, int]] = []
        for number, kit in enumerate(fleet.kits):
            self.of_type[kit.kit_type] = self.of_type.get(kit.kit_type, 0) | 1 << number
            for window in kit.blocked:
                self.blocked.append((1 << number, *micros(window)))
        self.budgets = Budgets(fleet.kits)
        self.items = [self.item(demand) for demand in demands]
        self.fixed = [item for item in self.items if item.held]
        for item in self.fixed:
            for number in bits(item.held):
                self.budgets.add(self.budgets.base, number, item.start, item.end, item.drive)

    def item(self, demand: Demand) -> Item:
        """The demand in numbers; its allowed kits are still to be found."""
        start, end = micros(demand.window)
        held = self.mask(demand.fixed) if demand.fixed else 0
        return Item(demand, start, end, demand.movable, held=held)

    def wanting(self, need: int) -> Ground:
        """The same ground, but the last demand needs this many movable kits."""
        other = copy(self)
        other.items = [*self.items[:-1], replace(self.items[-1], need=need)]
        return other

    def mask(self, kits: Sequence[KitId]) -> int:
        """The bits of those of the kits that the fleet has."""
        mask = 0
        for kit in kits:
            number = self.number.get(kit)
            if number is not None:
                mask |= 1 << number
        return mask

    def ids(self, mask: int) -> tuple[KitId, ...]:
        return tuple(self.kits[number].id for number in bits(mask))

    def clash(self, one: Item, other: Item) -> bool:
        """True when the two can't have the same kit."""
        same = one.group is not None and one.group == other.group
        if same and (one.demand.keep or other.demand.keep):
            return False
        gap = 0 if same else self.gap
        return one.start < other.end + gap and other.start < one.end + gap

    def out_of_use(self, item: Item) -> int:
        """The kits that are blocked at some moment of the item's window."""
        mask = 0
        for bit, start, end in self.blocked:
            if item.start < end and start < item.end:
                mask |= bit
        return mask

    def taken(self, item: Item, fixed: Iterable[Item]) -> int:
        """The kits that fixed demands other than its own hold against it."""
        mask = 0
        for other in fixed:
            if other.held & ~mask and other is not item and self.clash(item, other):
                mask |= other.held
        return mask

    def flat(self, item: Item) -> int:
        """The kits whose hard battery budget, after all fixed uses, is too small for the item."""
        if not self.budgets or not item.drive:
            return 0
        mask = 0
        for number in bits(self.of_type.get(item.demand.kit_type, 0)):
            if not self.budgets.fits(self.budgets.base, number, item.start, item.end, item.drive):
                mask |= 1 << number
        return mask

    def overdrawn(self, item: Item) -> int:
        """The held kits of the item whose hard budget is too small for their fixed uses."""
        mask = 0
        for number in bits(item.held if item.drive else 0):
            hard = 0 in self.budgets.spans(number, item.start, item.end)
            if hard and self.budgets.base.get((number, 0), 0) > self.budgets.gives(number):
                mask |= 1 << number
        return mask

    def placed(self, item: Item, fixed: Sequence[Item]) -> Item:
        """The item with the kits that the ground leaves to it."""
        lost = item.held | self.out_of_use(item) | self.taken(item, fixed) | self.flat(item)
        allowed = self.of_type.get(item.demand.kit_type, 0) & ~lost if item.need else 0
        told, usual = self.mask(item.demand.told), self.mask(item.demand.usual)
        # Named one by one: `replace` takes three times as long, and this is done for every booking.
        return Item(
            item.demand, item.start, item.end, item.need, allowed, told & allowed, usual & allowed
        )
