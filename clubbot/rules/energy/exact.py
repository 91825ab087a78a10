"""The exact charge plan of a small case, as a whole-number programme."""

from __future__ import annotations

from clubbot.rules.availability.programme import Programme, Solution
from clubbot.rules.energy.slots import On, Slots

LARGEST = 600
"""With more pairs of charge and step than this a proof would take too long to wait for."""


def settle(slots: Slots, seconds: float) -> tuple[tuple[On, ...], bool] | None:
    """Return a plan, and whether it is proved best; None where it is too large or none is found.

    Best as `score` says: most charges made, fewest moments at which something is put on, then
    fewest times that, then the first end, then the least sum of steps.
    """
    if seconds <= 0 or sum(len(job.allowed) for job in slots.jobs) > LARGEST:
        return None
    programme = Programme()
    on = [{step: programme.column() for step in job.allowed} for job in slots.jobs]
    left_out = [programme.column() for _ in slots.jobs]
    put_on = [_put_on(programme, slots, columns) for columns in on]
    for job, columns, out in zip(slots.jobs, on, left_out, strict=True):
        programme.exactly(job.steps, {**dict.fromkeys(columns.values(), 1.0), out: job.steps})
    for step in set().union(*on):
        pairs = zip(slots.jobs, on, strict=True)
        there = [columns[step] for job, columns in pairs if step in columns and not job.own]
        if len(there) > slots.room(step):
            programme.at_most(slots.room(step), dict.fromkeys(there, 1.0))
    moments = _moments(programme, put_on)
    every = [column for starts in put_on for column in starts.values()]
    _goals(programme, on, left_out, moments, every, _ends(programme, on))
    found = programme.solve(seconds)
    if not isinstance(found, Solution):
        return None
    plan = tuple(
        tuple(step for step, column in columns.items() if found.values[column]) for columns in on
    )
    return plan, found.best


def _put_on(programme: Programme, slots: Slots, columns: dict[int, int]) -> dict[int, int]:
    """Add a column for each step in which a charge may be put on: on, and not on just before."""
    made: dict[int, int] = {}
    for step, column in columns.items():
        start = programme.column()
        row = {column: 1.0, start: -1.0}
        if slots.follows(step) and step - 1 in columns:
            row[columns[step - 1]] = -1.0
        programme.at_most(0, row)
        made[step] = start
    return made


def _moments(programme: Programme, put_on: list[dict[int, int]]) -> list[int]:
    """Add a column for each step in which anything at all may be put on."""
    made: list[int] = []
    for step in sorted(set().union(*put_on)):
        moment = programme.column()
        for starts in put_on:
            if step in starts:
                programme.at_most(0, {starts[step]: 1.0, moment: -1.0})
        made.append(moment)
    return made


def _ends(programme: Programme, on: list[dict[int, int]]) -> list[int]:
    """Add a column for each step in which, or after which, anything is on."""
    made: list[int] = []
    for step in sorted(set().union(*on)):
        end = programme.column()
        there = [columns[step] for columns in on if step in columns]
        programme.at_most(0, {**dict.fromkeys(there, 1.0), end: -float(len(there))})
        if made:
            programme.at_most(0, {end: 1.0, made[-1]: -1.0})
        made.append(end)
    return made


def _goals(
    programme: Programme,
    on: list[dict[int, int]],
    left_out: list[int],
    moments: list[int],
    put_on: list[int],
    ends: list[int],
) -> None:
    programme.goal(dict.fromkeys(left_out, 1), len(left_out))
    programme.goal(dict.fromkeys(moments, 1), len(moments))
    programme.goal(dict.fromkeys(put_on, 1), len(put_on))
    programme.goal(dict.fromkeys(ends, 1), len(ends))
    sums = {column: step for columns in on for step, column in columns.items() if step}
    programme.goal(sums, sum(sums.values()))
