"""Which charges find a place where it is settled when somebody walks to the chargers.

Each walk opens a lot, which lasts until the next one or until the adult leaves. Nothing changes
hands within a lot, so it has as many places as there are bays, and a charge takes one of them for
the whole lot, or places in several lots one after the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from clubbot.rules.availability.programme import Programme, Solution
from clubbot.rules.energy.prices import MOST_PARTS
from clubbot.rules.energy.slots import Job, Slots


@dataclass(frozen=True, slots=True, order=True)
class Lot:
    """So many places from step `start` on, for `length` steps."""

    start: int
    length: int
    room: int

    @property
    def end(self) -> int:
        return self.start + self.length


Made = dict[int, tuple[Lot, ...]]
"""By charge the lots that it is on in."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Lots with so many steps for a charge together, in one of them `least`.

    It is taken off early `broken` times in between; `starts`: the sum of the lots' starts.
    """

    lots: tuple[Lot, ...]
    steps: int
    least: int
    broken: int
    starts: int


class Places:
    """The charges that are to be made, each by its number among the jobs."""

    def __init__(self, slots: Slots, made: Sequence[int]) -> None:
        self.slots = slots
        self.jobs = {which: slots.jobs[which] for which in made}
        self.every = sum(1 << which for which, job in self.jobs.items() if not job.own)
        self._runs = {which: slots.stays(job) for which, job in self.jobs.items()}
        self._lengths: dict[int, list[tuple[int, int]]] = {}

    def stay(self, which: int) -> dict[int, int]:
        """Return for each step in which a charge may be on for how many it may then stay on."""
        return self._runs[which]

    def due(self, last: int) -> int:
        """Return the charges that may not be on after a step, as the bits of a number."""
        return sum(
            1 << which
            for which, job in self.jobs.items()
            if not job.own and job.allowed[-1] <= last
        )

    def lengths(self, among: int) -> list[tuple[int, int]]:
        """Return how many steps some charges take, each with how many take so many."""
        if among not in self._lengths:
            found = Counter(job.steps for which, job in self.jobs.items() if among >> which & 1)
            self._lengths[among] = sorted(found.items())
        return self._lengths[among]

    def volume(self, among: int) -> int:
        """Return how many steps on a bay some charges take together."""
        return sum(steps * many for steps, many in self.lengths(among))

    def made(self, lots: Sequence[Lot], seconds: float, *, apart: int) -> Made | None:
        """Return how all charges are made in these lots; None where they aren't, or it takes long.

        With the fewest stretches, of these the earliest; `apart`: stretches more than charges.
        """
        alike: dict[Job, list[int]] = {}
        for which, job in self.jobs.items():
            alike.setdefault(job, []).append(which)
        programme = Programme()
        taken: dict[Lot, dict[int, float]] = {lot: {} for lot in lots}
        ways: list[tuple[Job, tuple[Lot, ...], int]] = []
        broken, sums = dict[int, int](), dict[int, int]()
        known: dict[tuple[int, ...], list[_Way]] = {}
        for job, those in alike.items():
            row: dict[int, float] = {}
            for way in self._ways(those[0], lots, apart > 0, known):
                column = programme.column(len(those))
                ways.append((job, way.lots, column))
                row[column] = 1.0
                if way.broken:
                    broken[column] = way.broken
                sums[column] = way.starts
                for lot in way.lots if not job.own else ():
                    taken[lot][column] = 1.0
            if not row:
                return None
            programme.exactly(len(those), row)
        for lot, takes in taken.items():
            programme.at_most(lot.room, takes)
        programme.at_most(apart, {column: float(times) for column, times in broken.items()})
        programme.goal(broken, apart)
        programme.goal(sums, sum(sums.values()) + 1)
        found = programme.solve(seconds)
        if not isinstance(found, Solution):
            return None
        made: Made = {}
        for job, there, column in ways:
            for _ in range(found.values[column]):
                made[alike[job].pop()] = there
        return made

    def _ways(
        self,
        which: int,
        lots: Sequence[Lot],
        parts: bool,
        known: dict[tuple[int, ...], list[_Way]],
    ) -> list[_Way]:
        """Return the sets of lots in which a charge could be made, none with one too many."""
        job, run = self.jobs[which], self._runs[which]
        if job.own:
            fit = (lot for lot in lots if run.get(lot.start, 0) >= job.steps)
            return [_Way((lot,), job.steps, job.steps, 0, lot.start) for lot in fit]
        use = tuple(min(lot.length, run.get(lot.start, 0)) for lot in lots)
        if use not in known:
            known[use] = list(self._together(which, lots, use, parts))
        return [way for way in known[use] if way.steps >= job.steps > way.steps - way.least]

    def _together(
        self, which: int, lots: Sequence[Lot], use: Sequence[int], parts: bool
    ) -> Iterator[_Way]:
        there = [at for at, steps in enumerate(use) if steps]
        for number in range(1, len(there) + 1):
            apart = parts and number <= MOST_PARTS
            for ats in combinations(there, number) if apart else _in_a_row(there, number):
                way = tuple(lots[at] for at in ats)
                broken = self._broken(which, way)
                if apart or not broken:
                    steps = [use[at] for at in ats]
                    starts = sum(lot.start for lot in way)
                    yield _Way(way, sum(steps), min(steps), broken, starts)

    def _broken(self, which: int, way: Sequence[Lot]) -> int:
        """Return how often a charge that is made so is taken off in between."""
        run = self._runs[which]
        return sum(
            before.end != after.start or run[before.start] <= before.length
            for before, after in pairwise(way)
        )

    def apart(self, made: Made) -> int:
        """Return how often charges are taken off early."""
        return sum(self._broken(which, way) for which, way in made.items())

    def end(self, made: Made) -> int:
        """Return the step at whose end all is done."""
        return max(self.steps(which, way)[-1] + 1 for which, way in made.items())

    def steps(self, which: int, way: Sequence[Lot]) -> tuple[int, ...]:
        """Return the steps in which a charge is on that is made so."""
        job, run = self.jobs[which], self._runs[which]
        if job.own:
            return tuple(range(way[0].start, way[0].start + job.steps))
        on: list[int] = []
        for lot in way:
            use = min(lot.length, run[lot.start], job.steps - len(on))
            on += range(lot.start, lot.start + use)
        return tuple(on)


def _in_a_row(places: Sequence[int], number: int) -> Iterator[tuple[int, ...]]:
    return (tuple(places[at : at + number]) for at in range(len(places) - number + 1))
