"""The exact charge plan of a small case, as a whole-number programme."""

from __future__ import annotations

from clubbot.rules.availability.programme import Programme, Solution
from clubbot.rules.energy.slots import On, Slots

LARGEST = 600
"""With more pairs of charge and step than this a proof would take too long to wait for."""


def settle(slots: Slots, seconds: float) -> tuple[tuple[On, ...], bool] | None:
    """Return a plan, and whether it is proved best; None where it is too large or none is found.

    Best: most charges made, then fewest times something is put on, then the least sum of steps.
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
        there = [columns[step] for columns in on if step in columns]
        if len(there) > slots.bays:
            programme.at_most(slots.bays, dict.fromkeys(there, 1.0))
    _goals(programme, on, left_out, [column for columns in put_on for column in columns])
    found = programme.solve(seconds)
    if not isinstance(found, Solution):
        return None
    plan = tuple(
        tuple(step for step, column in columns.items() if found.values[column]) for columns in on
    )
    return plan, found.best


def _put_on(programme: Programme, slots: Slots, columns: dict[int, int]) -> list[int]:
    """Add a column for each step in which a charge may be put on: on, and not on just before."""
    made: list[int] = []
    for step, column in columns.items():
        start = programme.column()
        row = {column: 1.0, start: -1.0}
        if slots.follows(step) and step - 1 in columns:
            row[columns[step - 1]] = -1.0
        programme.at_most(0, row)
        made.append(start)
    return made


def _goals(
    programme: Programme, on: list[dict[int, int]], left_out: list[int], put_on: list[int]
) -> None:
    programme.goal(dict.fromkeys(left_out, 1), len(left_out))
    programme.goal(dict.fromkeys(put_on, 1), len(put_on))
    sums = {column: step for columns in on for step, column in columns.items() if step}
    programme.goal(sums, sum(sums.values()))
