"""The charge plan: which battery is on which bay in which supervised minutes.

In this order: most charges made, fewest times that something is put on, finished early. A charge
may be resumed later; nothing is ever on a bay outside the supervised hours, nor more batteries
than there are bays. Several plain orders are tried first; where none of them is proved to be best
and the case is small, the first two goals are settled exactly (`exact`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clubbot.rules.energy.exact import settle
from clubbot.rules.energy.needs import STEP, STEP_MINUTES, Task
from clubbot.rules.energy.orders import all_made, in_order
from clubbot.rules.energy.slots import Job, Slots, score, stretches
from clubbot.rules.model import KitId, Window

_LONGEST_EXTRA = timedelta(hours=3)
_EXTRA_STEP = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A battery on a bay; bays are counted from 1. `last`: its charge is then done."""

    kit: KitId
    bay: int
    window: Window
    last: bool


@dataclass(frozen=True, slots=True)
class Short:
    """A charge that can't be made by its deadline; no time is spent on it."""

    kit: KitId
    minutes: int
    deadline: datetime


@dataclass(frozen=True, slots=True)
class Helps:
    """What would make every charge possible: so many bays more, or an adult there from then on."""

    more_bays: int | None
    adult_from: Window | None


@dataclass(frozen=True, slots=True)
class ChargePlan:
    """`stretches` in the order of doing; `best`: proved to make most charges in fewest moves."""

    stretches: tuple[Stretch, ...]
    short: tuple[Short, ...]
    best: bool


def charge_plan(
    tasks: Sequence[Task], supervised: Sequence[Window], bays: int, *, seconds: float = 2.0
) -> ChargePlan:
    """Return the best plan found; an exact search takes up to so many of the solver's seconds."""
    starts, slots = _slots(tasks, supervised, bays)
    on = in_order(slots)
    best = _proved(slots, on)
    if not best:
        found = settle(slots, seconds)
        if found is not None and score(slots, found[0]) <= score(slots, on):
            on, best = found
    return ChargePlan(
        stretches=tuple(_on_bays(tasks, slots, starts, on, bays)),
        short=tuple(
            Short(task.kit, task.minutes, task.window.end)
            for task, times in zip(tasks, on, strict=True)
            if not times
        ),
        best=best,
    )


def what_helps(tasks: Sequence[Task], supervised: Sequence[Window], bays: int) -> Helps:
    """Return what would make every charge of the tasks possible, as far as it is quickly found."""

    def made(hours: Sequence[Window], number: int) -> bool:
        return all_made(_slots(tasks, hours, number)[1])

    missed = charge_plan(tasks, supervised, bays, seconds=0).short
    if not missed:
        return Helps(None, None)
    more = None
    if made(supervised, max(bays, len(tasks))):
        more = next(n for n in range(1, len(tasks) + 1) if made(supervised, bays + n))
    deadline = min(each.deadline for each in missed)
    steps = range(1, _LONGEST_EXTRA // _EXTRA_STEP + 1)
    extra = (Window(deadline - step * _EXTRA_STEP, deadline) for step in steps)
    adult = next((span for span in extra if made([*supervised, span], bays)), None)
    return Helps(more, adult)


def merged(windows: Iterable[Window]) -> list[Window]:
    """Return windows in order, those that touch as one."""
    found: list[Window] = []
    for window in sorted(windows):
        if found and window.start <= found[-1].end:
            found[-1] = replace(found[-1], end=max(found[-1].end, window.end))
        else:
            found.append(window)
    return found


def _slots(
    tasks: Sequence[Task], supervised: Sequence[Window], bays: int
) -> tuple[list[datetime], Slots]:
    """Cut the supervised hours into steps, and note for each task in which of them it may be on."""
    starts: list[datetime] = []
    breaks: set[int] = set()
    for window in merged(supervised):
        breaks.add(len(starts))
        at = window.start
        while at + STEP <= window.end:
            starts.append(at)
            at += STEP
    jobs = [
        Job(
            task.minutes // STEP_MINUTES,
            tuple(
                number
                for number, at in enumerate(starts)
                if task.window.start <= at
                and at + STEP <= task.window.end
                and not any(each.start < at + STEP and at < each.end for each in task.busy)
            ),
        )
        for task in tasks
    ]
    return starts, Slots(tuple(jobs), frozenset(breaks), bays)


def _proved(slots: Slots, on: Sequence[tuple[int, ...]]) -> bool:
    """Say whether all charges are made, and each in as few parts as it could be by itself."""
    return all(
        times and len(stretches(slots, times)) == slots.fewest(job)
        for job, times in zip(slots.jobs, on, strict=True)
    )


def _on_bays(
    tasks: Sequence[Task],
    slots: Slots,
    starts: Sequence[datetime],
    on: Sequence[tuple[int, ...]],
    bays: int,
) -> list[Stretch]:
    parts = sorted(
        (first, last, number)
        for number, times in enumerate(on)
        for first, last in stretches(slots, times)
    )
    free = [-1] * bays
    found: list[Stretch] = []
    for first, last, number in parts:
        bay = next(which for which, until in enumerate(free) if until < first)
        free[bay] = last
        window = Window(starts[first], starts[last] + STEP)
        found.append(Stretch(tasks[number].kit, bay + 1, window, last == on[number][-1]))
    return found
