"""Spare time on the chargers, used towards full: what is on stays on while an adult is there.

Nobody walks for it, no other charge waits for it. It makes up for what no plan knows of: a unit
that was left on, a charger without a current, a battery that gives less than it is thought to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from clubbot.rules.energy.needs import Task
from clubbot.rules.energy.plan import ChargePlan, Stretch, merged
from clubbot.rules.model import Window


def towards_full(
    plan: ChargePlan, tasks: Sequence[Task], supervised: Sequence[Window]
) -> ChargePlan:
    """Return a plan in which each charge goes on, once it is enough, for as long as it may.

    That is until it is full, the adult leaves, the kit is used, or the bay is needed.
    """
    spans = merged(supervised)
    return replace(
        plan,
        stretches=tuple(_longer(each, plan.stretches, tasks, spans) for each in plan.stretches),
    )


def _longer(
    stretch: Stretch,
    others: Sequence[Stretch],
    tasks: Sequence[Task],
    spans: Sequence[Window],
) -> Stretch:
    task = _task_of(stretch, tasks)
    if task is None or not stretch.last or not task.more:
        return stretch
    end = stretch.window.end
    ends = [end + timedelta(minutes=task.more), task.window.end]
    ends += [span.end for span in spans if span.start < end <= span.end]
    ends += [busy.start for busy in task.busy if busy.start >= end]
    ends += [
        other.window.start
        for other in others
        if other.window.start >= end and _in_the_way(stretch, other)
    ]
    return replace(stretch, window=Window(stretch.window.start, max(end, min(ends))))


def _task_of(stretch: Stretch, tasks: Sequence[Task]) -> Task | None:
    return next(
        (
            task
            for task in tasks
            if (task.kit, task.own) == (stretch.kit, stretch.own)
            and task.window.start <= stretch.window.start
            and stretch.window.end <= task.window.end
        ),
        None,
    )


def _in_the_way(stretch: Stretch, other: Stretch) -> bool:
    same_bay = other.bay == stretch.bay and not other.own and not stretch.own
    return same_bay or (other.kit, other.own) == (stretch.kit, stretch.own)
