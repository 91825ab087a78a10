"""Which charges the uses to come ask for: how long, not before when, and ready by when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from math import ceil

from clubbot.rules.energy.assumed import SURE
from clubbot.rules.energy.belief import Belief, after
from clubbot.rules.energy.curve import Curve
from clubbot.rules.energy.events import Charged, Drove
from clubbot.rules.model import KitId, Window

STEP_MINUTES = 5
STEP = timedelta(minutes=STEP_MINUTES)
"""Charges are planned in steps of this many minutes."""
_MOST_A_DAY = 180
"""Minutes of a long loan that count as use, for each day begun; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Task:
    """A charge: so many minutes between `window`'s ends, while the kit isn't out (`busy`)."""

    kit: KitId
    minutes: int
    window: Window
    busy: tuple[Window, ...] = ()


@dataclass(frozen=True, slots=True)
class Needs:
    """A kit's charges, in order, and the uses that not even a full charge lasts through."""

    tasks: tuple[Task, ...]
    beyond: tuple[Window, ...]


def used(window: Window, driving_percent: int) -> Drove:
    """Return what a booking is expected to take: its share of driving, and the rest on but idle."""
    days = ceil(window.length / timedelta(days=1))
    minutes = min(window.length.total_seconds() / 60, _MOST_A_DAY * days)
    driving = minutes * driving_percent / 100
    return Drove(driving, minutes - driving)


def needs(
    kit: KitId,
    belief: Belief,
    uses: Sequence[Window],
    now: datetime,
    *,
    curve: Curve,
    driving_percent: int,
) -> Needs:
    """Return the charges without which the uses, in order of time, would not last 9 in 10.

    Each charge is the least that lasts through as many uses as a full one can. It may begin at
    once where a full charge also covers the uses before its deadline; else after those.
    """
    tasks: list[Task] = []
    beyond: list[Window] = []
    left, free_from = list(uses), now
    while left:
        drives = [used(window, driving_percent) for window in left]
        covered = _longest(drives, partial(_lasts, belief))
        if covered == len(left):
            break
        whole = _longest(drives, partial(_could_last, belief))
        if whole > covered:
            level = belief.level_for(*_sum(drives[:whole])) or 1.0
            minutes = curve.minutes(belief.level.low, level)
            open_to = Window(min(free_from, left[covered].start - STEP), left[covered].start)
            tasks.append(_task(kit, minutes, open_to, left[:covered]))
            belief, passed = after(belief, [Charged(level), *drives[:whole]]), whole
        else:
            passed = covered or 1
            beyond += left[covered:passed]
            belief = after(belief, drives[:passed])
        free_from, left = left[passed - 1].end, left[passed:]
    return Needs(tuple(tasks), tuple(beyond))


def _task(kit: KitId, minutes: float, window: Window, busy: Sequence[Window]) -> Task:
    steps = max(1, ceil(minutes / STEP_MINUTES))
    return Task(kit, steps * STEP_MINUTES, window, tuple(busy))


def _lasts(belief: Belief, drives: Sequence[Drove]) -> bool:
    return belief.lasts(*_sum(drives)) >= SURE


def _could_last(belief: Belief, drives: Sequence[Drove]) -> bool:
    return belief.level_for(*_sum(drives)) is not None


def _longest(drives: Sequence[Drove], fits: Callable[[Sequence[Drove]], bool]) -> int:
    """Return how many drives from the first on fit together."""
    return next((n for n in range(len(drives)) if not fits(drives[: n + 1])), len(drives))


def _sum(drives: Sequence[Drove]) -> tuple[float, float, int]:
    return sum(each.minutes for each in drives), sum(each.idle for each in drives), len(drives)
