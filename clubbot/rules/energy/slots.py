"""A charge plan as whole numbers: steps of time, and in which of them each charge is on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

On = tuple[int, ...]
"""The steps in which a charge is on, in order; none where it isn't made."""


@dataclass(frozen=True, slots=True)
class Job:
    """A charge of so many steps, and the steps in which it may be on.

    `own`: it takes no bay, for it has a charger of its own.
    """

    steps: int
    allowed: tuple[int, ...]
    own: bool = False


@dataclass(frozen=True, slots=True)
class Slots:
    """The charges; `breaks` are the steps that don't follow on the one before; and the bays.

    `taken`: how many bays what is on already takes, by step.
    """

    jobs: tuple[Job, ...]
    breaks: frozenset[int]
    bays: int
    taken: Mapping[int, int] = field(default_factory=dict)

    def follows(self, step: int) -> bool:
        """Say whether what is on in the step before may just stay on."""
        return step not in self.breaks

    def room(self, step: int) -> int:
        """Return how many bays a step has for the charges."""
        return max(0, self.bays - self.taken.get(step, 0))

    def stays(self, job: Job) -> dict[int, int]:
        """Return for each step in which a charge may be on for how many it may then stay on."""
        found: dict[int, int] = {}
        for step in reversed(job.allowed):
            goes_on = step + 1 in found and self.follows(step + 1)
            found[step] = 1 + (found[step + 1] if goes_on else 0)
        return found

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


Score = tuple[int, int, int, int, int]
"""(charges not made, moments at which something is put on, times that, the step at whose end all is
done, the sum of all steps)."""


def score(slots: Slots, on: Sequence[On]) -> Score:
    """Return how good a plan is, the least first."""
    begun = [first for times in on for first, _ in stretches(slots, times)]
    left_out = sum(not times for times in on)
    return left_out, len(set(begun)), len(begun), finish(on), sum(map(sum, on))


def finish(on: Sequence[On]) -> int:
    """Return the step at whose end all is done."""
    return max((times[-1] + 1 for times in on if times), default=0)
