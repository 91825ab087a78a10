"""What no charge plan can be better than: fewest left out, fewest moments, earliest end.

Charges that must all lie between two moments need so much bay-time there, and so many of them at
so many bays cannot be put on at fewer moments; what spans that don't touch ask for adds up. The
earliest end is McNaughton's (Management Science 6, 1959): the longest charge, or all bay-time
divided by the bays, whichever is later.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from clubbot.rules.energy.slots import Job, Slots


@dataclass(frozen=True, slots=True)
class Bound:
    """At least so many charges are left out, and where none is: so many moments, so many times
    that something is put on, and the step before whose end not all can be done."""

    left_out: int
    moments: int
    put_on: int
    finish: int


def bound(slots: Slots) -> Bound:
    """Return what no plan can be better than; its last three hold where every charge is made."""
    jobs = [job for job in slots.jobs if len(job.allowed) >= job.steps]
    never = len(slots.jobs) - len(jobs)
    parts = {id(job): slots.fewest(job) for job in jobs}
    return Bound(
        left_out=never + _chained(slots, jobs, lambda inside, room: _must_go(inside, sum(room))),
        moments=_chained(slots, jobs, lambda inside, room: _moments(inside, room, parts)),
        put_on=sum(parts.values()),
        finish=_finish(slots, jobs),
    )


Ask = Callable[[list[Job], list[int]], int]
"""What charges ask for that lie within steps with so much room each."""


def _chained(slots: Slots, jobs: list[Job], ask: Ask) -> int:
    """Return the most that spans which don't touch ask for together."""
    if not jobs:
        return 0
    starts = sorted({job.allowed[0] for job in jobs})
    ends = sorted({job.allowed[-1] + 1 for job in jobs})
    room = [slots.room(step) for step in range(ends[-1])]
    best = {0: 0}
    for end in ends:
        found = max(best.values())
        for start in starts:
            if start >= end:
                break
            inside = [j for j in jobs if start <= j.allowed[0] and j.allowed[-1] < end]
            before = max(value for at, value in best.items() if at <= start)
            if inside:
                found = max(found, before + ask(inside, room[start:end]))
        best[end] = found
    return max(best.values())


def _must_go(jobs: list[Job], room: int) -> int:
    """Return how many charges can't be made in so much bay-time, the shortest made first."""
    for made, job in enumerate(sorted((j for j in jobs if not j.own), key=lambda j: j.steps)):
        room -= job.steps
        if room < 0:
            return sum(not j.own for j in jobs) - made
    return 0


def _moments(jobs: list[Job], room: list[int], parts: dict[int, int]) -> int:
    """Return at how many moments so many charges must be put on at least."""
    at_once = max(room, default=0)
    on_bays = sum(parts[id(job)] for job in jobs if not job.own)
    most = max(parts[id(job)] for job in jobs)
    return max(most, -(-on_bays // at_once) if at_once else 0)


def _finish(slots: Slots, jobs: list[Job]) -> int:
    longest = max((job.allowed[job.steps - 1] + 1 for job in jobs), default=0)
    need, step = sum(job.steps for job in jobs if not job.own), 0
    last = max((job.allowed[-1] + 1 for job in jobs), default=0)
    while need > 0 and step < last:
        need -= slots.room(step)
        step += 1
    return max(longest, step)
