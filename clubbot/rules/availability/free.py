"""What can still be promised."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.availability.decide import SECONDS
from clubbot.rules.availability.ground import Ground
from clubbot.rules.availability.model import Demand, Fleet, Free, Possible
from clubbot.rules.availability.settle import most, settle
from clubbot.rules.availability.solve import Care
from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId, Window

_ASKING = BookingId(-1)


def free_now(
    fleet: Fleet,
    demands: Sequence[Demand],
    window: Window,
    *,
    group: TeamId | None = None,
    driving_minutes: int = 0,
    seconds: float = SECONDS,
) -> Free:
    """How many kits of each type one more booking could have, and labels that may be named.

    Nothing is counted twice: all `kits` together are a yes, and none of them was told to anyone.
    Where the search takes over `seconds` the count is what is certain.
    """
    counts: dict[KitTypeId, int] = {}
    kits: list[KitId] = []
    for kit_type in sorted({kit.kit_type for kit in fleet.kits}):
        all_of_type = sum(kit.kit_type == kit_type for kit in fleet.kits)
        asked = Demand(
            _ASKING, window, kit_type, all_of_type, group, driving_minutes=driving_minutes
        )
        ground = Ground(fleet, [*demands, asked])
        count = max(0, most(ground, all_of_type, seconds))
        counts[kit_type] = count
        if not count:
            continue
        answer = settle(ground.wanting(count), seconds, Care.FAIR)
        if isinstance(answer, Possible):
            told = {
                kit
                for demand in demands
                if demand.window.overlaps(window, fleet.gap)
                for kit in demand.told
            }
            kits += [kit for kit in answer.assignment[_ASKING] if kit not in told]
    return Free(counts, tuple(sorted(kits)))
