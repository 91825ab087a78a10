"""A charge plan as whole numbers: steps of time, and in which of them each charge is on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

On = tuple[int, ...]
"""The steps in which a charge is on, in order; none where it isn't made."""


@dataclass(frozen=True, slots=True)
class Job:
    """A charge of so many steps, and the steps in which it may be on."""

    steps: int
    allowed: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Slots:
    """The charges; `breaks` are the steps that don't follow on the one before; and the bays."""

    jobs: tuple[Job, ...]
    breaks: frozenset[int]
    bays: int

    def follows(self, step: int) -> bool:
        """Say whether what is on in the step before may just stay on."""
        return step not in self.breaks

    def fewest(self, job: Job) -> int:
        """Return in how few stretches a charge could be made if it were alone."""
        runs = sorted((last - first + 1 for first, last in stretches(self, job.allowed)))
        need, parts = job.steps, 0
        while need > 0 and runs:
            need -= runs.pop()
            parts += 1
        return parts


def stretches(slots: Slots, steps: Sequence[int]) -> list[tuple[int, int]]:
    """Return the unbroken runs of steps, as (first, last)."""
    found: list[tuple[int, int]] = []
    if not steps:
        return found
    first = steps[0]
    for before, step in pairwise(steps):
        if step != before + 1 or not slots.follows(step):
            found.append((first, before))
            first = step
    return [*found, (first, steps[-1])]


def score(slots: Slots, on: Sequence[On]) -> tuple[int, int, int]:
    """Return (charges not made, times something is put on, the sum of all steps used)."""
    return (
        sum(not times for times in on),
        sum(len(stretches(slots, times)) for times in on),
        sum(map(sum, on)),
    )
