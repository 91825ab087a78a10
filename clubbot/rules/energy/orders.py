"""Charge plans by plain orders: step by step, whoever is first in some order gets a free bay.

A charge that is on stays on until it is done or may not be on any more. Where not all can be made,
the one that takes most time among those due by then is given up, as Moore's rule for the number of
late jobs does (exact on one bay without gaps, good elsewhere).
"""

from __future__ import annotations

from collections.abc import Callable

from clubbot.rules.energy.slots import On, Slots, score

Rank = Callable[[int, int, int], tuple[float, ...]]
"""The place in an order of (charge, steps still needed, step); the least comes first."""


def in_order(slots: Slots) -> tuple[On, ...]:
    """Return the best plan that any of the orders makes."""
    tried = [_given_up(slots, rank) for rank in _ranks(slots)]
    return min(tried, key=lambda on: score(slots, on))


def all_made(slots: Slots) -> bool:
    """Say whether any of the orders makes every charge; a no is not a proof."""
    every = set(range(len(slots.jobs)))
    if any(len(job.allowed) < job.steps for job in slots.jobs):
        return False
    return any(
        all(
            len(on) == job.steps
            for on, job in zip(_run(slots, rank, every), slots.jobs, strict=True)
        )
        for rank in _ranks(slots)
    )


def _ranks(slots: Slots) -> list[Rank]:
    jobs = slots.jobs
    last = [job.allowed[-1] if job.allowed else -1 for job in jobs]
    run = [_run_lengths(slots, set(job.allowed)) for job in jobs]

    place = [{step: at for at, step in enumerate(job.allowed)} for job in jobs]

    def slack(which: int, need: int, step: int) -> float:
        return len(jobs[which].allowed) - place[which][step] - need

    def whole(which: int, need: int, step: int) -> bool:
        return run[which][step] < need

    return [
        lambda which, need, step: (last[which], need, which),
        lambda which, need, step: (whole(which, need, step), last[which], need, which),
        lambda which, need, step: (slack(which, need, step), which),
        lambda which, need, step: (whole(which, need, step), last[which], -need, which),
        lambda which, need, step: (whole(which, need, step), -need, last[which], which),
    ]


def _run_lengths(slots: Slots, allowed: set[int]) -> dict[int, int]:
    """Return for each allowed step how many follow on it without a break, itself included."""
    lengths: dict[int, int] = {}
    for step in sorted(allowed, reverse=True):
        goes_on = step + 1 in allowed and slots.follows(step + 1)
        lengths[step] = 1 + (lengths[step + 1] if goes_on else 0)
    return lengths


def _given_up(slots: Slots, rank: Rank) -> tuple[On, ...]:
    """Return the plan of an order, charges given up one by one until all others are made."""
    kept = {which for which, job in enumerate(slots.jobs) if len(job.allowed) >= job.steps}
    while True:
        on = _run(slots, rank, kept)
        missed = [which for which in kept if len(on[which]) < slots.jobs[which].steps]
        if not missed:
            return tuple(on)
        due = min(slots.jobs[which].allowed[-1] for which in missed)
        early = [which for which in kept if slots.jobs[which].allowed[-1] <= due]
        kept.remove(max(early, key=lambda which: (slots.jobs[which].steps, which)))


def _run(slots: Slots, rank: Rank, kept: set[int]) -> list[On]:
    on: list[list[int]] = [[] for _ in slots.jobs]
    may = [set(job.allowed) for job in slots.jobs]
    steps = sorted(set().union(*(may[which] for which in kept)))
    before: list[int] = []
    for step in steps:
        waiting = [
            which
            for which in kept
            if step in may[which] and len(on[which]) < slots.jobs[which].steps
        ]
        staying = set(before) if slots.follows(step) else set()
        chosen = sorted(
            waiting,
            key=lambda which: (
                not (which in staying and on[which][-1] == step - 1),
                *rank(which, slots.jobs[which].steps - len(on[which]), step),
            ),
        )[: slots.bays]
        for which in chosen:
            on[which].append(step)
        before = chosen
    return [tuple(times) if which in kept else () for which, times in enumerate(on)]
