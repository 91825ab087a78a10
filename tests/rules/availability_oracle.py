"""Availability by trying every assignment, written from the rules' words alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import combinations

from clubbot.rules.availability import Demand, Fleet, FleetKit
from clubbot.rules.model import KitId

Choice = tuple[tuple[KitId, ...], ...]
"""The movable kits of each demand, in the order of the demands."""


def clash(fleet: Fleet, one: Demand, other: Demand) -> bool:
    """Two uses that can't be of the same kit."""
    if one.group is not None and one.group == other.group:
        if one.keep or other.keep:
            return False
        return one.window.start < other.window.end and other.window.start < one.window.end
    return (
        one.window.start < other.window.end + fleet.gap
        and other.window.start < one.window.end + fleet.gap
    )


def spans(kit: FleetKit, demand: Demand) -> list[int]:
    """The spans between certain charges that the demand's window touches."""
    assert kit.battery is not None
    ends: list[datetime | None] = [None, *kit.battery.charges, None]
    return [
        number
        for number in range(len(ends) - 1)
        if (ends[number] is None or demand.window.end > ends[number])
        and (ends[number + 1] is None or demand.window.start < ends[number + 1])
    ]


def load(
    fleet: Fleet, uses: Sequence[tuple[Demand, Sequence[KitId]]]
) -> dict[tuple[int, int], int]:
    minutes: dict[tuple[int, int], int] = {}
    for kit in fleet.kits:
        if kit.battery is None:
            continue
        minutes[kit.id, 0] = kit.battery.used
        for demand, kits in uses:
            if kit.id in kits and demand.driving_minutes:
                for span in spans(kit, demand):
                    minutes[kit.id, span] = minutes.get((kit.id, span), 0) + demand.driving_minutes
    return minutes


def candidates(fleet: Fleet, demands: Sequence[Demand], demand: Demand) -> list[KitId]:
    """The kits that a movable place of the demand could have, were it alone with the fixed."""
    fixed = [(other, other.fixed) for other in demands if other.fixed]
    minutes = load(fleet, fixed)
    found = []
    for kit in fleet.kits:
        if kit.kit_type != demand.kit_type or kit.id in demand.fixed:
            continue
        if any(window.overlaps(demand.window) for window in kit.blocked):
            continue
        if any(
            kit.id in kits and other is not demand and clash(fleet, demand, other)
            for other, kits in fixed
        ):
            continue
        if (
            kit.battery is not None
            and demand.driving_minutes
            and 0 in spans(kit, demand)
            and minutes[kit.id, 0] + demand.driving_minutes > kit.battery.gives
        ):
            continue
        found.append(kit.id)
    return found


def assignments(
    fleet: Fleet, demands: Sequence[Demand], part: Sequence[Demand] | None = None
) -> Iterator[Choice]:
    """Every way to give the demands of the part their movable kits beside all fixed ones."""
    part = demands if part is None else part
    options = [
        list(combinations(candidates(fleet, demands, demand), demand.movable)) for demand in part
    ]
    fixed = [(other, other.fixed) for other in demands if other.fixed]

    def extend(chosen: Choice) -> Iterator[Choice]:
        if len(chosen) == len(part):
            yield chosen
            return
        demand = part[len(chosen)]
        for kits in options[len(chosen)]:
            if any(
                set(kits) & set(taken) and clash(fleet, demand, other)
                for other, taken in zip(part, chosen, strict=False)
            ):
                continue
            uses = [*fixed, *zip(part, (*chosen, kits), strict=False)]
            minutes = load(fleet, uses)
            if any(
                kit.battery is not None
                and kit.id in kits
                and demand.driving_minutes
                and 0 in spans(kit, demand)
                and minutes[kit.id, 0] > kit.battery.gives
                for kit in fleet.kits
            ):
                continue
            yield from extend((*chosen, kits))

    yield from extend(())


def possible(fleet: Fleet, demands: Sequence[Demand], request: Demand) -> bool:
    """True when some assignment meets the request and all demands."""
    everything = [*demands, request]
    by_id = {kit.id: kit for kit in fleet.kits}
    for kit_id in request.fixed:
        kit = by_id.get(kit_id)
        if kit is None or any(window.overlaps(request.window) for window in kit.blocked):
            return False
        if any(kit_id in other.fixed and clash(fleet, request, other) for other in demands):
            return False
        if kit.battery is not None and request.driving_minutes and 0 in spans(kit, request):
            fixed = [(other, other.fixed) for other in everything if other.fixed]
            if load(fleet, fixed)[kit_id, 0] > kit.battery.gives:
                return False
    for resource, wanted in request.resources.items():
        for moment in [request.window.start, *(demand.window.start for demand in demands)]:
            if request.window.start <= moment < request.window.end and wanted:
                used = sum(
                    demand.resources.get(resource, 0)
                    for demand in demands
                    if demand.window.start <= moment < demand.window.end
                )
                if used + wanted > fleet.resources.get(resource, 0):
                    return False
    return next(assignments(fleet, everything), None) is not None


def regret(
    fleet: Fleet, demands: Sequence[Demand], part: Sequence[Demand], choice: Choice
) -> tuple[int, int, int, int]:
    """Labels changed, usual kits missed, minutes over later budgets, uses: less is better."""
    changed = missed = uses = 0
    worn: Mapping[KitId, int] = {kit.id: kit.uses for kit in fleet.kits}
    for demand, kits in zip(part, choice, strict=True):
        changed -= len(set(kits) & set(demand.told))
        missed -= len(set(kits) & set(demand.usual))
        uses += sum(worn[kit] for kit in kits)
    fixed = [(other, other.fixed) for other in demands if other.fixed]
    inside = {id(demand) for demand in part}
    elsewhere = []
    for other in demands:
        told = [kit for kit in other.told if kit not in other.fixed and _of(fleet, kit, other)]
        if id(other) not in inside and len(told) <= other.movable:
            elsewhere.append((other, told))
    before = load(fleet, [*fixed, *elsewhere])
    after = load(fleet, [*fixed, *elsewhere, *zip(part, choice, strict=True)])
    over = 0
    for kit in fleet.kits:
        for (kit_id, span), minutes in after.items():
            if kit_id == kit.id and kit.battery is not None and span:
                over += max(0, minutes - kit.battery.gives)
                over -= max(0, before.get((kit_id, span), 0) - kit.battery.gives)
    return changed, missed, over, uses


def _of(fleet: Fleet, kit_id: KitId, demand: Demand) -> bool:
    return any(kit.id == kit_id and kit.kit_type == demand.kit_type for kit in fleet.kits)


def best_plans(fleet: Fleet, demands: Sequence[Demand]) -> tuple[int, ...]:
    """Over all ways to meet some of the bookings: the least of bookings unmet, labels changed,
    usual kits missed and uses, in that order."""
    least: tuple[int, ...] | None = None
    for size in range(len(demands), -1, -1):
        for met in combinations(demands, size):
            if not _goes_together(fleet, demands, met):
                continue
            facts = [replace(d, count=len(d.fixed)) for d in demands if _stays(d) and d not in met]
            for choice in assignments(fleet, [*met, *facts], met):
                found = (len(demands) - size, *plan_regret(fleet, met, choice))
                least = found if least is None else min(least, found)
        if least is not None:
            return least
    raise AssertionError("meeting nobody is always a plan")


def plan_regret(fleet: Fleet, met: Sequence[Demand], choice: Choice) -> tuple[int, int, int]:
    """Told labels and usual kits that the met bookings lose, and earlier uses."""
    worn: Mapping[KitId, int] = {kit.id: kit.uses for kit in fleet.kits}
    changed = missed = uses = 0
    for demand, kits in zip(met, choice, strict=True):
        has = {*demand.fixed, *kits}
        changed += min(len(demand.told), demand.count) - len(has & set(demand.told))
        missed += min(len(demand.usual), demand.count) - len(has & set(demand.usual))
        uses += sum(worn[kit] for kit in (kits if _stays(demand) else has))
    return changed, missed, uses


def _stays(demand: Demand) -> bool:
    return demand.firm or demand.keep


def _goes_together(fleet: Fleet, demands: Sequence[Demand], met: Sequence[Demand]) -> bool:
    """Fixed kits there, unblocked and not twice, and enough of every resource."""
    by_id = {kit.id: kit for kit in fleet.kits}
    present = [d for d in demands if d in met or _stays(d)]
    for demand in met:
        for kit_id in demand.fixed:
            kit = by_id[kit_id]
            if any(window.overlaps(demand.window) for window in kit.blocked):
                return False
            if _stays(demand):
                continue
            if any(
                other is not demand and kit_id in other.fixed and clash(fleet, demand, other)
                for other in present
            ):
                return False
            fixed = [(other, other.fixed) for other in present]
            if (
                kit.battery is not None
                and demand.driving_minutes
                and 0 in spans(kit, demand)
                and load(fleet, fixed)[kit_id, 0] > kit.battery.gives
            ):
                return False
    for resource, count in fleet.resources.items():
        for demand in present:
            users = [d for d in present if d.window.start <= demand.window.start < d.window.end]
            free = count - sum(d.resources.get(resource, 0) for d in users if _stays(d))
            wanted = sum(d.resources.get(resource, 0) for d in users if not _stays(d))
            if wanted > max(0, free):
                return False
    return True
