"""The charge plan: which battery is on which bay in which supervised minutes.

In this order: most charges made, fewest moments at which somebody must walk to the chargers, fewest
times that something is put on, finished early. A charge may be resumed later; nothing is ever on a
bay outside the supervised hours, nor more batteries than there are bays. Several plain orders are
tried first; where none of them reaches what no plan can be better than (`bounds`) and the case is
small, it is settled exactly (`exact`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clubbot.rules.energy.bounds import Bound, bound
from clubbot.rules.energy.exact import settle
from clubbot.rules.energy.lots import in_lots
from clubbot.rules.energy.moments import with_fewest_moments
from clubbot.rules.energy.needs import STEP, STEP_MINUTES, Task
from clubbot.rules.energy.orders import all_made, in_order, with_waiting
from clubbot.rules.energy.slots import Job, On, Slots, finish, score, stretches
from clubbot.rules.model import KitId, Window

_LONGEST_EXTRA = timedelta(hours=3)
_EXTRA_STEP = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A battery on a bay; bays are counted from 1. `last`: its charge is then done.

    `own`: the kit's tablet, on a charger of its own, and no bay.
    """

    kit: KitId
    bay: int
    window: Window
    last: bool
    own: bool = False


@dataclass(frozen=True, slots=True)
class Short:
    """A charge that can't be made by its deadline; no time is spent on it."""

    kit: KitId
    minutes: int
    deadline: datetime
    own: bool = False


@dataclass(frozen=True, slots=True)
class Helps:
    """What would make every charge possible, each by itself.

    So many bays more; an adult there from then on, for each span the shortest that does; so many
    kits fewer.
    """

    more_bays: int | None
    adult_from: Window | None
    fewer: int = 0


@dataclass(frozen=True, slots=True)
class ChargePlan:
    """`stretches` in the order of doing; `best`: proved to make most charges at fewest moments.

    No plan makes all charges before `not_before`, nor at fewer than `moments` moments, nor leaves
    out fewer than `left_out`: the lower bound beside the plan.
    """

    stretches: tuple[Stretch, ...]
    short: tuple[Short, ...]
    best: bool
    not_before: datetime | None = None
    moments: int = 0
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Bays:
    """How many bays there are, and which of them are taken until when by what is on already."""

    number: int
    taken: tuple[tuple[int, Window], ...] = ()


def charge_plan(
    tasks: Sequence[Task],
    supervised: Sequence[Window],
    bays: int | Bays,
    *,
    slack: timedelta = timedelta(0),
    seconds: float = 0.6,
) -> ChargePlan:
    """Return the best plan found; an exact search takes up to so many of the solver's seconds.

    Where it costs no charge, each is done `slack` before its deadline, so that nobody has to be at
    the chargers on the minute.
    """
    where = bays if isinstance(bays, Bays) else Bays(bays)
    found = _planned([_early(task, slack) for task in tasks], tasks, supervised, where, seconds)
    if slack and found.short:
        tight = _planned(tasks, tasks, supervised, where, seconds)
        if len(tight.short) < len(found.short):
            return tight
    return found


def _early(task: Task, slack: timedelta) -> Task:
    end = max(task.window.end - slack, task.window.start + timedelta(minutes=task.minutes))
    return replace(task, window=Window(task.window.start, min(end, task.window.end)))


def _planned(
    early: Sequence[Task],
    tasks: Sequence[Task],
    supervised: Sequence[Window],
    bays: Bays,
    seconds: float,
) -> ChargePlan:
    starts, slots = _slots(early, supervised, bays)
    least = bound(slots)
    on = min((*in_lots(slots), in_order(slots)), key=lambda each: score(slots, each))
    fewer = _fewer_moments(slots, on, least, seconds)
    on = (
        with_waiting(slots, on)
        if fewer is None
        else min(on, fewer, key=lambda each: score(slots, each))
    )
    best = _reached(slots, on, least)
    if not best:
        found = settle(slots, seconds)
        if found is not None and score(slots, found[0]) <= score(slots, on):
            on, best = found
    return ChargePlan(
        stretches=tuple(_on_bays(tasks, slots, starts, on, bays)),
        short=tuple(
            Short(task.kit, task.minutes, task.window.end, task.own)
            for task, times in zip(tasks, on, strict=True)
            if not times
        ),
        best=best,
        not_before=starts[least.finish - 1] + STEP if least.finish else None,
        moments=least.moments,
        left_out=least.left_out,
    )


def _fewer_moments(
    slots: Slots, on: Sequence[On], least: Bound, seconds: float
) -> tuple[On, ...] | None:
    """Return a plan that makes the same charges at few moments, where one is found."""
    kept = [which for which, times in enumerate(on) if times]
    numbers = range(max(1, least.moments if len(kept) == len(on) else 1), score(slots, on)[1] + 1)
    return with_fewest_moments(slots, kept, numbers, seconds) if kept and seconds else None


def _reached(slots: Slots, on: Sequence[On], least: Bound) -> bool:
    """Say whether a plan makes every charge as no plan can make them with less walking."""
    left_out, moments, put_on, *_ = score(slots, on)
    soonest = all(
        times == job.allowed[: job.steps] for job, times in zip(slots.jobs, on, strict=True)
    )
    proved = (left_out, moments, put_on) == (0, least.moments, least.put_on)
    return proved and (soonest or finish(on) == least.finish)


def what_helps(tasks: Sequence[Task], supervised: Sequence[Window], bays: int | Bays) -> Helps:
    """Return what would make every charge of the tasks possible, as far as it is quickly found."""
    where = bays if isinstance(bays, Bays) else Bays(bays)

    def made(hours: Sequence[Window], more: int = 0) -> bool:
        return all_made(_slots(tasks, hours, replace(where, number=where.number + more))[1])

    missed = charge_plan(tasks, supervised, where, seconds=0).short
    if not missed:
        return Helps(None, None)
    more = None
    if made(supervised, len(tasks)):
        more = next(n for n in range(1, len(tasks) + 1) if made(supervised, n))
    deadline = min(each.deadline for each in missed)
    steps = range(1, _LONGEST_EXTRA // _EXTRA_STEP + 1)
    extra = (Window(deadline - step * _EXTRA_STEP, deadline) for step in steps)
    adult = next((span for span in extra if made([*supervised, span])), None)
    return Helps(more, adult, len({each.kit for each in missed if not each.own}))


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
    tasks: Sequence[Task], supervised: Sequence[Window], bays: Bays
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
            task.own,
        )
        for task in tasks
    ]
    taken = {number: len(_taken(bays, Window(at, at + STEP))) for number, at in enumerate(starts)}
    return starts, Slots(tuple(jobs), frozenset(breaks), bays.number, taken)


def _taken(bays: Bays, step: Window) -> set[int]:
    return {bay for bay, window in bays.taken if window.overlaps(step)}


def _on_bays(
    tasks: Sequence[Task],
    slots: Slots,
    starts: Sequence[datetime],
    on: Sequence[On],
    bays: Bays,
) -> list[Stretch]:
    parts = sorted(
        (first, last, number)
        for number, times in enumerate(on)
        for first, last in stretches(slots, times)
    )
    free = [-1] * bays.number
    found: list[Stretch] = []
    for first, last, number in parts:
        task, window = tasks[number], Window(starts[first], starts[last] + STEP)
        done = last == on[number][-1]
        if task.own:
            found.append(Stretch(task.kit, 0, window, done, own=True))
            continue
        taken = _taken(bays, window)
        bay = next(
            which for which, until in enumerate(free) if until < first and which + 1 not in taken
        )
        free[bay] = last
        found.append(Stretch(task.kit, bay + 1, window, done))
    return found
