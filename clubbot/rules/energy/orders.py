"""Charge plans by plain orders: step by step, whoever is first in some order gets a free bay.

A charge that is on stays on until it is done or may not be on any more. An order may wait until
several bays are free, so that somebody walks to the charger less often. Where not all can be made,
the one that takes most time among those due by then is given up, as Moore's rule for the number of
late jobs does (exact on one bay without gaps, good elsewhere).
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from clubbot.rules.energy.slots import On, Slots, score

Rank = Callable[[int, int, int], tuple[float, ...]]
"""The place in an order of (charge, steps still needed, step); the least comes first."""


_EVERY = (12, 9, 6, 4, 3, 2)
"""Steps after which it is tried to choose anew, where no plain order makes as many charges."""


@dataclass(frozen=True, slots=True)
class Order:
    """Whoever has the least `rank` is put on, but not before `free` bays are, or all that wait fit.

    `whole`: nothing is put on that couldn't be done in one go, unless it can't wait. `anew`: who is
    on is chosen anew every so many steps; at every step that makes most charges (the level
    algorithm is exact for one span), but it wears out whoever does it. 0: nobody is taken off.
    """

    rank: Rank
    free: int = 1
    whole: bool = False
    anew: int = 0


def in_order(slots: Slots) -> tuple[On, ...]:
    """Return the best plan that any of the orders makes, of those that don't wait."""
    view = _Cases(slots)
    orders = [Order(rank) for rank in view.ranks()]
    plans = [_given_up(view, order) for order in orders]
    if any(len(times) < job.steps for p in plans for times, job in zip(p, slots.jobs, strict=True)):
        plans.append(_given_up(view, Order(view.least_slack, anew=1)))
    return min(plans, key=lambda on: score(slots, on))


def with_waiting(slots: Slots, best: tuple[On, ...]) -> tuple[On, ...]:
    """Return what orders that wait make of the same charges, where that is better."""
    view = _Cases(slots)
    kept = {which for which, times in enumerate(best) if times}
    frees = sorted({1, max(2, slots.bays // 2), slots.bays})
    orders = [Order(rank) for rank in view.ranks()]
    for order in (
        *(Order(o.rank, free, w) for free in frees for o in orders for w in (True, False)),
        *(Order(view.least_slack, anew=every) for every in _EVERY),
    ):
        on = in_turn(view, order, kept)
        if all(len(on[which]) == slots.jobs[which].steps for which in kept):
            best = min(best, on, key=lambda on: score(slots, on))
    return best


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


def filled_up(slots: Slots, on: tuple[On, ...]) -> tuple[On, ...]:
    """Return a plan with the charges that it doesn't make put where it leaves bays free.

    Those that can't be made even so are left out.
    """
    missing = [which for which, times in enumerate(on) if not times]
    if not missing:
        return on
    taken = dict(slots.taken)
    for job, times in zip(slots.jobs, on, strict=True):
        for step in times if not job.own else ():
            taken[step] = taken.get(step, 0) + 1
    rest = replace(slots, jobs=tuple(slots.jobs[which] for which in missing), taken=taken)
    view = _Cases(rest)
    added = _given_up(view, Order(view.ranks()[1]))
    found = list(on)
    for which, times in zip(missing, added, strict=True):
        found[which] = times
    return tuple(found)


class _Cases:
    """What the orders ask of the charges again and again."""

    def __init__(self, slots: Slots) -> None:
        self.slots = slots
        self.may = [frozenset(job.allowed) for job in slots.jobs]
        self.place = [{step: at for at, step in enumerate(job.allowed)} for job in slots.jobs]
        self.run = [slots.stays(job) for job in slots.jobs]

    def slack(self, which: int, need: int, step: int) -> int:
        """Return how many steps a charge can wait."""
        return len(self.slots.jobs[which].allowed) - self.place[which][step] - need

    def least_slack(self, which: int, need: int, step: int) -> tuple[float, ...]:
        """Put first whoever can wait least, of those alike whoever takes longest."""
        return (self.slack(which, need, step), -need, which)

    def ranks(self) -> list[Rank]:
        jobs, run = self.slots.jobs, self.run
        last = [job.allowed[-1] if job.allowed else -1 for job in jobs]

        def parted(which: int, need: int, step: int) -> bool:
            return run[which][step] < need

        return [
            lambda which, need, step: (last[which], need, which),
            lambda which, need, step: (parted(which, need, step), last[which], need, which),
            self.least_slack,
            lambda which, need, step: (parted(which, need, step), last[which], -need, which),
            lambda which, need, step: (parted(which, need, step), -need, last[which], which),
            lambda which, need, step: (parted(which, need, step), need, last[which], which),
        ]


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
        anew = order.anew and step % order.anew == 0
        staying = before & may if slots.follows(step) and not anew else set()
        on_bays = sorted(which for which in staying if not jobs[which].own)
        staying -= set(on_bays[slots.room(step) :])
        room = slots.room(step) - len(on_bays)
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
