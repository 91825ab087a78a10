"""Charge plans by plain orders: step by step, whoever is first in some order gets a free bay.

A charge that is on stays on until it is done or may not be on any more. An order may wait until
several bays are free, so that somebody walks to the charger less often. Where not all can be made,
the one that takes most time among those due by then is given up, as Moore's rule for the number of
late jobs does (exact on one bay without gaps, good elsewhere).
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from clubbot.rules.energy.slots import On, Slots, score

Rank = Callable[[int, int, int], tuple[float, ...]]
"""The place in an order of (charge, steps still needed, step); the least comes first."""


@dataclass(frozen=True, slots=True)
class Order:
    """Whoever has the least `rank` is put on, but not before `free` bays are, or all that wait fit.

    `whole`: nothing is put on that couldn't be done in one go, unless it can't wait.
    """

    rank: Rank
    free: int = 1
    whole: bool = False


def in_order(slots: Slots) -> tuple[On, ...]:
    """Return the best plan that any of the orders makes."""
    view = _Cases(slots)
    orders = [Order(rank) for rank in view.ranks()]
    plans = [_given_up(view, order) for order in orders]
    best = min(plans, key=lambda on: score(slots, on))
    kept = {which for which, times in enumerate(best) if times}
    for free in sorted({1, max(2, slots.bays // 2), slots.bays}):
        for order in orders:
            for whole in (True, False):
                on = in_turn(view, Order(order.rank, free, whole), kept)
                if all(len(on[which]) == slots.jobs[which].steps for which in kept):
                    plans.append(on)
    return min(plans, key=lambda on: score(slots, on))


def all_made(slots: Slots) -> bool:
    """Say whether any of the orders makes every charge; a no is not a proof."""
    every = set(range(len(slots.jobs)))
    if any(len(job.allowed) < job.steps for job in slots.jobs):
        return False
    view = _Cases(slots)
    return any(
        all(
            len(on) == job.steps
            for on, job in zip(in_turn(view, Order(rank), every), slots.jobs, strict=True)
        )
        for rank in view.ranks()
    )


def in_list(slots: Slots, order: Collection[int]) -> tuple[On, ...]:
    """Return the plan in which whoever comes next in a list gets the first free bay."""
    place = {which: at for at, which in enumerate(order)}
    rank: Rank = lambda which, need, step: (place[which],)  # noqa: E731
    return in_turn(_Cases(slots), Order(rank), set(place))


class _Cases:
    """What the orders ask of the charges again and again."""

    def __init__(self, slots: Slots) -> None:
        self.slots = slots
        self.may = [frozenset(job.allowed) for job in slots.jobs]
        self.place = [{step: at for at, step in enumerate(job.allowed)} for job in slots.jobs]
        self.run = [_run_lengths(slots, may) for may in self.may]

    def slack(self, which: int, need: int, step: int) -> int:
        """Return how many steps a charge can wait."""
        return len(self.slots.jobs[which].allowed) - self.place[which][step] - need

    def ranks(self) -> list[Rank]:
        jobs, run = self.slots.jobs, self.run
        last = [job.allowed[-1] if job.allowed else -1 for job in jobs]

        def parted(which: int, need: int, step: int) -> bool:
            return run[which][step] < need

        return [
            lambda which, need, step: (last[which], need, which),
            lambda which, need, step: (parted(which, need, step), last[which], need, which),
            lambda which, need, step: (self.slack(which, need, step), which),
            lambda which, need, step: (parted(which, need, step), last[which], -need, which),
            lambda which, need, step: (parted(which, need, step), -need, last[which], which),
            lambda which, need, step: (parted(which, need, step), need, last[which], which),
        ]


def _run_lengths(slots: Slots, allowed: Collection[int]) -> dict[int, int]:
    """Return for each allowed step how many follow on it without a break, itself included."""
    lengths: dict[int, int] = {}
    for step in sorted(allowed, reverse=True):
        goes_on = step + 1 in allowed and slots.follows(step + 1)
        lengths[step] = 1 + (lengths[step + 1] if goes_on else 0)
    return lengths


def _given_up(view: _Cases, order: Order) -> tuple[On, ...]:
    """Return the plan of an order, charges given up one by one until all others are made."""
    jobs = view.slots.jobs
    kept = {which for which, job in enumerate(jobs) if len(job.allowed) >= job.steps}
    while True:
        on = in_turn(view, order, kept)
        missed = [which for which in kept if len(on[which]) < jobs[which].steps]
        if not missed:
            return on
        due = min(jobs[which].allowed[-1] for which in missed)
        early = [which for which in kept if jobs[which].allowed[-1] <= due]
        kept.remove(max(early, key=lambda which: (jobs[which].steps, which)))


def in_turn(view: _Cases, order: Order, kept: Collection[int]) -> tuple[On, ...]:
    """Return what an order makes of some of the charges, step by step; not all need be done."""
    slots, jobs = view.slots, view.slots.jobs
    on: list[list[int]] = [[] for _ in jobs]
    open_ = set(kept)
    before: set[int] = set()
    for step in sorted(set().union(*(view.may[which] for which in kept))):
        may = {which for which in open_ if step in view.may[which]}
        staying = before & may if slots.follows(step) else set()
        room = slots.room(step) - sum(not jobs[which].own for which in staying)
        waiting = may - staying
        need = {which: jobs[which].steps - len(on[which]) for which in waiting}
        if waiting and (room > 0 or any(jobs[which].own for which in waiting)):
            staying |= _put_on(view, order, need, step, room)
        for which in staying:
            on[which].append(step)
            if len(on[which]) == jobs[which].steps:
                open_.remove(which)
        before = staying
    return tuple(tuple(times) if which in kept else () for which, times in enumerate(on))


def _put_on(view: _Cases, order: Order, need: dict[int, int], step: int, room: int) -> set[int]:
    """Return what is put on now: nothing where the order waits and nothing waiting is urgent."""
    urgent = {which for which, left in need.items() if view.slack(which, left, step) <= 0}
    fit = [
        which
        for which, left in need.items()
        if which in urgent or not order.whole or view.run[which][step] >= left
    ]
    if not urgent and room < min(order.free, len(fit)):
        return set()
    fit.sort(key=lambda which: (which not in urgent, *order.rank(which, need[which], step)))
    chosen: set[int] = set()
    for which in fit:
        if view.slots.jobs[which].own:
            chosen.add(which)
        elif room > 0:
            chosen.add(which)
            room -= 1
    return chosen
