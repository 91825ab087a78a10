"""What a choice of kits costs, in the order of preference, as one whole number.

First labels changed against what people were told, then kits that the team didn't have last
time, then minutes over the batteries of later spans, then earlier uses of the kits given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from clubbot.rules.availability.budgets import Load
from clubbot.rules.availability.ground import Item
from clubbot.rules.availability.parts import Part

Cost = Callable[[Item, int, Load], int]
"""Of giving the item a kit, on top of the load."""


@dataclass(frozen=True, slots=True)
class Weights:
    """How much a unit of each preference costs, so that an earlier one outweighs all later."""

    told: int
    usual: int
    over: int
    least_uses: int


def weights(part: Part) -> Weights:
    """Each weight is more than all that the later preferences can add up to in this part."""
    kits = part.ground.kits
    needed = sum(item.need for item in part.items)
    uses = [kit.uses for kit in kits]
    least = min(uses, default=0)
    over = 1 + needed * (max(uses, default=0) - least)
    most = sum(item.need * item.drive for item in part.items) * part.ground.budgets.most_spans
    usual = over * (1 + most)
    return Weights(usual * (1 + needed), usual, over, least)


def cost_of(part: Part) -> Cost:
    """The cost of each choice in this part; sums over items are compared as a whole."""
    weight = weights(part)
    kits, budgets = part.ground.kits, part.ground.budgets

    def cost(item: Item, kit: int, load: Load) -> int:
        total = kits[kit].uses - weight.least_uses
        if item.told and not item.told >> kit & 1:
            total += weight.told
        if item.usual and not item.usual >> kit & 1:
            total += weight.usual
        if item.drive and kit in budgets:
            total += weight.over * budgets.over(load, kit, item.start, item.end, item.drive)
        return total

    return cost
