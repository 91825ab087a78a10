"""Whether a booking can be promised, with which kits, and what stands in the way if not."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.availability.depth import resource_left
from clubbot.rules.availability.ground import Ground
from clubbot.rules.availability.model import (
    Answer,
    Demand,
    Fleet,
    Impossible,
    Limit,
    Possible,
    Undecided,
)
from clubbot.rules.availability.programme import Verdict
from clubbot.rules.availability.reason import named_out_of_reach, reason
from clubbot.rules.availability.settle import settle
from clubbot.rules.availability.solve import Care

SECONDS = 1.5
"""How long the exact search may take for one answer."""


def decide(
    fleet: Fleet,
    demands: Sequence[Demand],
    request: Demand,
    *,
    seconds: float = SECONDS,
    thorough: bool = True,
) -> Answer:
    """Yes with the preferred assignment, or no with its limit, exact for this model.

    A yes means that some assignment meets the request and all demands: each kit with one booking
    at a time, gaps between teams, fixed kits where they are, hard battery budgets, resources.
    What is fixed by now is a fact: a fixed kit that is blocked, or fixed twice, is out of reach
    for the request but doesn't make it impossible. `Undecided` when the search would take over
    `seconds`. Without `thorough` yes, no and the labels changed are the same, but usual kits,
    charge and wear are looked after only as far as goes without a search.
    """
    short = resource_left(fleet, demands, request)
    if short is not None:
        resource, left = short
        return Impossible(Limit.RESOURCE, max(0, left), resource=resource)
    ground = Ground(fleet, [*demands, request])
    if request.fixed:
        named = named_out_of_reach(fleet, demands, ground, seconds)
        if named is not None:
            return named
    if not request.count:
        return Possible({request.booking: ()})
    found = settle(ground, seconds, Care.BEST if thorough else Care.FAIR)
    if found is Verdict.UNSURE:
        return Undecided()
    if found is Verdict.NO:
        return reason(fleet, demands, request, ground, seconds)
    return found
