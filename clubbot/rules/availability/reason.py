"""What stands in the way of a request, in terms that a person can act on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clubbot.rules.availability.ground import Ground
from clubbot.rules.availability.model import Demand, Fleet, Impossible, Limit
from clubbot.rules.availability.settle import fits, most
from clubbot.rules.model import BookingId, KitId


def named_out_of_reach(
    fleet: Fleet, demands: Sequence[Demand], ground: Ground, seconds: float
) -> Impossible | None:
    """The no for labels that are blocked, fixed elsewhere, or flat; None if there are none."""
    request = ground.items[-1]
    overdrawn = ground.overdrawn(request)
    blocked = ground.out_of_use(request)
    gone: list[KitId] = []
    flat: list[KitId] = []
    taken_by: BookingId | None = None
    for kit in request.demand.fixed:
        bit = ground.mask([kit])
        holder = next(
            (
                other.demand.booking
                for other in ground.fixed
                if other is not request and other.held & bit and ground.clash(request, other)
            ),
            None,
        )
        if not bit or blocked & bit or holder is not None:
            gone.append(kit)
            taken_by = taken_by or holder
        elif overdrawn & bit:
            flat.append(kit)
    if not gone and not flat:
        return None
    possible, already = _possible(fleet, demands, request.demand, seconds)
    limit = Limit.NAMED if gone else Limit.BATTERY
    return Impossible(limit, possible, tuple(gone or flat), taken_by, already=already)


def reason(
    fleet: Fleet, demands: Sequence[Demand], request: Demand, ground: Ground, seconds: float
) -> Impossible:
    """The limit of a request for which no assignment exists."""
    possible, already = _possible(fleet, demands, request, seconds)
    if request.fixed and possible >= request.count:
        alone = [replace(request, fixed=(kit,), count=1) for kit in request.fixed]
        stuck = tuple(
            one.fixed[0] for one in alone if not fits(Ground(fleet, [*demands, one]), 0, seconds)
        )
        return Impossible(Limit.NAMED, possible, stuck or request.fixed)
    if ground.budgets:
        mains = replace(fleet, kits=tuple(replace(kit, battery=None) for kit in fleet.kits))
        if fits(Ground(mains, [*demands, request]), request.movable, seconds):
            return Impossible(Limit.BATTERY, possible, already=already)
    return Impossible(Limit.KITS, possible, already=already)


def _possible(
    fleet: Fleet, demands: Sequence[Demand], request: Demand, seconds: float
) -> tuple[int, bool]:
    """How many kits by count the request could have, and whether the others fail without it."""
    types = {kit.kit_type for kit in fleet.kits if kit.id in request.fixed}
    kit_type = types.pop() if len(types) == 1 and not request.movable else request.kit_type
    unnamed = replace(request, fixed=(), kit_type=kit_type)
    count = most(Ground(fleet, [*demands, unnamed]), unnamed.count, seconds)
    return max(0, count), count < 0
