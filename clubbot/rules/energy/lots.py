"""Charge plans by lots: the bays are filled all at once, and again when the longest is done.

The longest charges come first and open lots, the others fill them up (first fit decreasing, as for
bins), so that those of a length are together and few walks do for all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

from clubbot.rules.energy.orders import filled_up
from clubbot.rules.energy.slots import On, Slots, stretches


@dataclass(slots=True)
class _Lot:
    """Put on at `start`, all done `length` steps later; `room` bays are still free."""

    start: int
    length: int
    room: int


@dataclass(slots=True)
class _Span:
    """An unbroken run of steps, of which those from `free` on are in no lot yet."""

    free: int
    end: int


Turn = Callable[[int], tuple[int, ...]]
Pick = Callable[[_Lot], tuple[int, ...]]
Where = Callable[[_Span], int]

_PICKS: tuple[Pick, ...] = (
    lambda lot: (lot.start,),
    lambda lot: (-lot.start,),
    lambda lot: (lot.length, -lot.start),
)
"""Which of several lots is filled first: the earliest, the last, the shortest that does."""
_WHERE: tuple[Where, ...] = (
    lambda span: span.free,
    lambda span: -span.free,
    lambda span: span.free - span.end,
    lambda span: span.end - span.free,
)
"""Where a lot is opened: early, late, where most time is left, or least."""


def in_lots(slots: Slots) -> Iterator[tuple[On, ...]]:
    """Yield plans made of lots; what fits in none is made in parts where bays are left."""
    jobs = slots.jobs
    last = [job.allowed[-1] if job.allowed else -1 for job in jobs]
    turns: tuple[Turn, ...] = (
        lambda which: (-jobs[which].steps, last[which], which),
        lambda which: (last[which], -jobs[which].steps, which),
        lambda which: (-jobs[which].steps, -last[which], which),
    )
    made: set[tuple[On, ...]] = set()
    for turn, pick, where in product(turns, _PICKS, _WHERE):
        order = sorted(range(len(jobs)), key=turn)
        made.add(_filled(slots, order, pick, where))
    fewest = min(sum(not times for times in on) for on in made)
    for on in made:
        if sum(not times for times in on) <= fewest + 1:
            yield filled_up(slots, on)


def _filled(slots: Slots, order: list[int], pick: Pick, where: Where) -> tuple[On, ...]:
    """Put each charge into a lot that is open and fits; else open one for it."""
    steps = sorted({step for job in slots.jobs for step in job.allowed})
    spans = [_Span(first, last + 1) for first, last in stretches(slots, steps)]
    allowed = [frozenset(job.allowed) for job in slots.jobs]
    lots: list[_Lot] = []
    on: list[On] = [()] * len(slots.jobs)
    for which in order:
        job = slots.jobs[which]
        fitting = [
            lot
            for lot in lots
            if (lot.room or job.own)
            and job.steps <= lot.length
            and _inside(lot.start, job.steps, allowed[which])
        ]
        if fitting:
            lot = min(fitting, key=pick)
        elif found := _opened(slots, sorted(spans, key=where), job.steps, allowed[which]):
            lot = found
            lots.append(lot)
        else:
            continue
        lot.room -= not job.own
        on[which] = tuple(range(lot.start, lot.start + job.steps))
    return tuple(on)


def _opened(slots: Slots, spans: list[_Span], length: int, allowed: frozenset[int]) -> _Lot | None:
    for span in spans:
        for start in range(span.free, span.end - length + 1):
            if not _inside(start, length, allowed):
                continue
            room = min(slots.room(step) for step in range(start, start + length))
            if room:
                span.free = start + length
                return _Lot(start, length, room)
    return None


def _inside(start: int, length: int, allowed: frozenset[int]) -> bool:
    return all(step in allowed for step in range(start, start + length))
