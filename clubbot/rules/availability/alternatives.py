"""What to offer instead of a no."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from clubbot.rules.availability.decide import SECONDS, decide
from clubbot.rules.availability.model import (
    Demand,
    Fleet,
    Impossible,
    Offer,
    OfferKind,
    Possible,
)
from clubbot.rules.model import Window


def alternatives(
    fleet: Fleet,
    demands: Sequence[Demand],
    request: Demand,
    same_day: Sequence[Window],
    sessions: Sequence[Window] = (),
    *,
    times: int = 2,
    seconds: float = SECONDS,
) -> tuple[Offer, ...]:
    """The nearest requests that are a yes: as many kits as there are then, or other kits than the
    named ones; up to `times` other times of the day, the nearest first; the next session.

    `same_day` and `sessions` are the windows to try: inside supervised hours, of a length that
    suits. Only what is a yes for certain is offered, each as if the others weren't.
    """
    offers: list[Offer] = []
    refused = decide(fleet, demands, request, seconds=seconds, thorough=False)
    if isinstance(refused, Impossible):
        offers += _then(fleet, demands, request, refused, seconds)
    asked = request.window
    later = sorted(
        (window for window in same_day if window != asked),
        key=lambda window: (abs(window.start - asked.start), window.start),
    )
    offers += _first(fleet, demands, request, OfferKind.OTHER_TIME, later, times, seconds)
    following = sorted(window for window in sessions if window.start > asked.start)
    following = [window for window in following if window not in same_day]
    offers += _first(fleet, demands, request, OfferKind.SESSION, following, 1, seconds)
    return tuple(offers)


def _then(
    fleet: Fleet, demands: Sequence[Demand], request: Demand, refused: Impossible, seconds: float
) -> list[Offer]:
    """What can be had in the window that was asked for."""
    if refused.resource is not None:
        left = {**request.resources, refused.resource: refused.possible}
        fewer = replace(request, resources=left)
        return _yes(fleet, demands, fewer, OfferKind.FEWER, seconds)
    types = {kit.kit_type for kit in fleet.kits if kit.id in request.fixed}
    kit_type = types.pop() if len(types) == 1 and not request.movable else request.kit_type
    count = min(refused.possible, request.count)
    if not count:
        return []
    unnamed = replace(request, kit_type=kit_type, count=count, fixed=())
    kind = OfferKind.OTHER_KITS if count == request.count else OfferKind.FEWER
    return _yes(fleet, demands, unnamed, kind, seconds)


def _first(
    fleet: Fleet,
    demands: Sequence[Demand],
    request: Demand,
    kind: OfferKind,
    windows: Iterable[Window],
    limit: int,
    seconds: float,
) -> list[Offer]:
    found: list[Offer] = []
    for window in windows:
        if len(found) == limit:
            break
        found += _yes(fleet, demands, replace(request, window=window), kind, seconds)
    return found


def _yes(
    fleet: Fleet, demands: Sequence[Demand], request: Demand, kind: OfferKind, seconds: float
) -> list[Offer]:
    answer = decide(fleet, demands, request, seconds=seconds, thorough=False)
    return [Offer(kind, request, answer)] if isinstance(answer, Possible) else []
