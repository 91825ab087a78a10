"""How many are wanted at one moment: the bound that decides the plain case, and resources."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.availability.ground import bits
from clubbot.rules.availability.model import Demand, Fleet, ResourceId
from clubbot.rules.availability.parts import Part
from clubbot.rules.model import TeamId, Window


def depth(windows: Sequence[Window]) -> int:
    """The most windows that share a moment; a window's end is free for the next.

    So many kits serve windows of one kit type that have no labels and no gaps (interval
    partitioning: Kleinberg and Tardos, Algorithm Design, section 4.1).
    """
    steps = sorted(
        [(window.start, 1) for window in windows] + [(window.end, -1) for window in windows]
    )
    most = running = 0
    for _, step in steps:
        running += step
        most = max(most, running)
    return most


def enough(part: Part) -> bool:
    """False when at some moment more kits are wanted than there are: then no assignment exists.

    True proves nothing where labels, gaps or budgets come in.
    """
    for number, item in enumerate(part.items):
        reach = item.allowed
        alone = item.need
        teams: dict[TeamId, tuple[int, int]] = {}
        for other in bits(part.clash[number] & ((1 << number) - 1)):
            rival = part.items[other]
            reach |= rival.allowed
            if rival.group is None or rival.demand.keep:
                alone += 0 if rival.demand.keep else rival.need
                continue
            running, largest = teams.get(rival.group, (0, 0))
            teams[rival.group] = (
                running + (rival.need if rival.end > item.start else 0),
                max(largest, rival.need),
            )
        if alone + sum(max(pair) for pair in teams.values()) > reach.bit_count():
            return False
    return True


def resource_left(
    fleet: Fleet, demands: Sequence[Demand], request: Demand
) -> tuple[ResourceId, int] | None:
    """The first resource of which the request wants more than is left, and how many are left."""
    for resource, wanted in request.resources.items():
        if not wanted:
            continue
        users = [
            demand
            for demand in demands
            if demand.resources.get(resource) and demand.window.overlaps(request.window)
        ]
        moments = [request.window.start, *(user.window.start for user in users)]
        most = max(
            sum(
                user.resources[resource]
                for user in users
                if user.window.start <= moment < user.window.end
            )
            for moment in moments
            if request.window.start <= moment
        )
        left = fleet.resources.get(resource, 0) - most
        if wanted > left:
            return resource, left
    return None
