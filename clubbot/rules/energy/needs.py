"""Which charges the uses to come ask for: how long, not before when, and ready by when."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from math import ceil

from clubbot.rules.energy.assumed import HOPE, SURE
from clubbot.rules.energy.belief import Belief, after
from clubbot.rules.energy.curve import Curve
from clubbot.rules.energy.events import Charged, Drove, OnCharger
from clubbot.rules.model import KitId, Window

STEP_MINUTES = 5
STEP = timedelta(minutes=STEP_MINUTES)
"""Charges are planned in steps of this many minutes."""
_MOST_A_DAY = 180
"""Minutes of a long loan that count as use, for each day begun; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Task:
    """A charge: so many minutes between `window`'s ends, while the kit isn't out (`busy`).

    `own`: of the kit's tablet, on a charger of its own. `more`: minutes that it would still take
    to be full.
    """

    kit: KitId
    minutes: int
    window: Window
    busy: tuple[Window, ...] = ()
    own: bool = False
    more: int = 0


@dataclass(frozen=True, slots=True)
class Needs:
    """A kit's charges, in order, and the uses that not even a full charge is sure to last through.

    Where there is hope, it is fully charged for those all the same.
    """

    tasks: tuple[Task, ...]
    beyond: tuple[Window, ...]


def used(window: Window, driving_percent: int) -> Drove:
    """Return what a booking is expected to take: its share of driving, and the rest on but idle."""
    days = ceil(window.length / timedelta(days=1))
    minutes = min(window.length.total_seconds() / 60, _MOST_A_DAY * days)
    driving = minutes * driving_percent / 100
    return Drove(driving, minutes - driving)


def chances(belief: Belief, uses: Sequence[Window], driving_percent: int) -> list[float]:
    """Return the chance that it lasts each of these uses, one after the other."""
    drives = [used(window, driving_percent) for window in uses]
    return [belief.lasts(*_sum(drives[: n + 1])) for n in range(len(drives))]


@dataclass(frozen=True, slots=True)
class _Charge:
    """One way of making a charge: the task, what is believed after its uses, how many those are."""

    task: Task
    belief: Belief
    passed: int


def needs(
    kit: KitId,
    belief: Belief,
    uses: Sequence[Window],
    now: datetime,
    *,
    curve: Curve,
    driving_percent: int,
    hours: Sequence[Window],
    sure: float = SURE,
) -> Needs:
    """Return the charges without which the uses, in order of time, might not last.

    A use is to last with a chance of `sure`; where not even a full charge gives that, nine in ten
    will do for it.

    Each charge is the least that lasts through as many uses as a full one can. It begins as late
    as the supervised hours before its deadline allow, for then it lasts longest; where they are
    too few, as early as a full charge would last through the use after the deadline.
    """
    tasks: list[Task] = []
    beyond: list[Window] = []
    left, free_from = list(uses), now
    while left:
        drives = [used(window, driving_percent) for window in left]
        covered = _longest(drives, partial(_lasts, belief, sure=sure))
        if covered == len(left):
            break
        found = _ways(kit, belief, left, drives, covered, free_from, curve, sure)
        chosen = _chosen(found, hours)
        if chosen is None:
            beyond.append(left[covered])
            chosen = _hoped(kit, belief, left, drives, covered, free_from, curve)
        if chosen is None:
            passed, belief = covered + 1, after(belief, drives[: covered + 1])
        else:
            tasks.append(chosen.task)
            passed, belief = chosen.passed, chosen.belief
        free_from, left = left[passed - 1].end, left[passed:]
    return Needs(tuple(tasks), tuple(beyond))


def _ways(
    kit: KitId,
    belief: Belief,
    uses: Sequence[Window],
    drives: Sequence[Drove],
    covered: int,
    free_from: datetime,
    curve: Curve,
    sure: float,
) -> Iterator[_Charge]:
    """Yield the charges for the first use that isn't covered, the latest first."""
    for first in range(covered, -1, -1):
        if _could_last(belief, drives[first : covered + 1]):
            yield _charge(kit, belief, uses, drives, (first, covered), free_from, curve, sure)


def _chosen(found: Iterable[_Charge], hours: Sequence[Window]) -> _Charge | None:
    """Return the first charge that the hours allow, else the last, if there is any."""
    charge = None
    for charge in found:
        if _room(charge.task, hours) >= charge.task.minutes:
            break
    return charge


def _charge(
    kit: KitId,
    belief: Belief,
    uses: Sequence[Window],
    drives: Sequence[Drove],
    between: tuple[int, int],
    free_from: datetime,
    curve: Curve,
    sure: float,
) -> _Charge:
    """Return the charge that may begin after the first of two uses and is needed for the other."""
    first, covered = between
    before = after(belief, drives[:first])
    whole = max(1, _longest(drives[first:], partial(_could_last, before, sure=sure)))
    minutes = _minutes(before, drives[first : first + whole], curve, sure)
    deadline = uses[covered].start
    start = uses[first - 1].end if first else free_from
    window = Window(min(start, deadline - STEP), deadline)
    task = _task(kit, minutes, window, uses[first:covered], curve.minutes(before.level.low))
    done = after(before, [OnCharger(task.minutes, curve), *drives[first : first + whole]])
    return _Charge(task, done, first + whole)


def _minutes(before: Belief, drives: Sequence[Drove], curve: Curve, sure: float) -> float:
    """Return how long a charge takes after which it lasts, whatever it is charged from."""
    level = before.level_for(*_sum(drives), sure=sure) or 1.0
    least, most = curve.minutes(before.level.low, level), curve.minutes(before.level.low)
    sure -= before.assumed.not_charged
    minutes = ceil(least / STEP_MINUTES) * STEP_MINUTES
    while minutes < most:
        if after(before, [OnCharger(minutes, curve)]).lasts(*_sum(drives)) >= sure:
            return minutes
        minutes += STEP_MINUTES
    return most


def _hoped(
    kit: KitId,
    belief: Belief,
    uses: Sequence[Window],
    drives: Sequence[Drove],
    covered: int,
    free_from: datetime,
    curve: Curve,
) -> _Charge | None:
    """Return a full charge for a use that it may well last, if there is hope and it isn't full."""
    before = after(belief, drives[:covered])
    full = after(before, [Charged()])
    minutes = curve.minutes(before.level.low)
    if full.lasts(*_sum([drives[covered]])) < HOPE or minutes < STEP_MINUTES:
        return None
    start = uses[covered - 1].end if covered else free_from
    window = Window(min(start, uses[covered].start - STEP), uses[covered].start)
    done = after(full, [drives[covered]])
    return _Charge(_task(kit, minutes, window, ()), done, covered + 1)


def _room(task: Task, hours: Sequence[Window]) -> float:
    """Return the supervised minutes in which the kit is there before its deadline."""
    within = [_shared(span, task.window) for span in hours]
    out = [_shared(span, busy) for span in hours for busy in task.busy]
    return sum(within) - sum(out)


def _shared(one: Window, other: Window) -> float:
    length = min(one.end, other.end) - max(one.start, other.start)
    return max(0.0, length.total_seconds() / 60)


def _task(
    kit: KitId, minutes: float, window: Window, busy: Sequence[Window], full: float = 0.0
) -> Task:
    steps = max(1, ceil(minutes / STEP_MINUTES))
    more = max(0, ceil(full / STEP_MINUTES) - steps)
    return Task(kit, steps * STEP_MINUTES, window, tuple(busy), more=more * STEP_MINUTES)


def _lasts(belief: Belief, drives: Sequence[Drove], sure: float) -> bool:
    chance = belief.lasts(*_sum(drives))
    if chance >= sure:
        return True
    alone = len(drives) == 1 and chance >= SURE
    return alone and not _could_last(belief, drives, sure)


def _could_last(belief: Belief, drives: Sequence[Drove], sure: float = SURE) -> bool:
    return belief.level_for(*_sum(drives), sure=sure) is not None


def _longest(drives: Sequence[Drove], fits: Callable[[Sequence[Drove]], bool]) -> int:
    """Return how many drives from the first on fit together."""
    return next((n for n in range(len(drives)) if not fits(drives[: n + 1])), len(drives))


def _sum(drives: Sequence[Drove]) -> tuple[float, float, int]:
    return sum(each.minutes for each in drives), sum(each.idle for each in drives), len(drives)
