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
from clubbot.rules.energy.slots import Job, Slots

MOST_PARTS = 2
"""A charge is made in so many lots at most, or in any number that follow on each other."""


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


class Places:
    """The charges that are to be made, each by its number among the jobs."""

    def __init__(self, slots: Slots, made: Sequence[int]) -> None:
        self.slots = slots
        self.jobs = {which: slots.jobs[which] for which in made}
        self.every = sum(1 << which for which, job in self.jobs.items() if not job.own)
        self._runs = {which: slots.stays(job) for which, job in self.jobs.items()}
        self._fit: dict[tuple[int, int], int] = {}
        self._lengths: dict[int, list[tuple[int, int]]] = {}

    def fitting(self, lot: Lot) -> int:
        """Return the charges that could be made in this lot alone, as the bits of a number."""
        key = lot.start, lot.length
        if key not in self._fit:
            self._fit[key] = sum(
                1 << which
                for which, job in self.jobs.items()
                if job.steps <= min(lot.length, self._runs[which].get(lot.start, 0))
            )
        return self._fit[key]

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

    def unplaced(self, lots: Sequence[Lot], among: int) -> int:
        """Return how many of some charges can't each have a place of their own.

        So many as some set of lots has too few places for those that fit in no other (Hall,
        Journal of the London Mathematical Society 10, 1935, in the form that counts the rest).
        """
        fit, room = [0], [0]
        for lot in lots:
            one = self.fitting(lot)
            fit += [each | one for each in fit]
            room += [each + lot.room for each in room]
        places = room[-1]
        return max(
            (among & ~there).bit_count() - places + elsewhere
            for there, elsewhere in zip(fit, room, strict=True)
        )

    def by_their_own(self, lots: Sequence[Lot]) -> bool:
        """Say whether each charge on a charger of its own can be put on as some lot begins."""
        return all(
            any(self._runs[which].get(lot.start, 0) >= job.steps for lot in lots)
            for which, job in self.jobs.items()
            if job.own
        )

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
        broken, sums = Counter[int](), Counter[int]()
        for job, those in alike.items():
            row: dict[int, float] = {}
            for way in self._ways(those[0], lots, apart > 0):
                column = programme.column(len(those))
                ways.append((job, way, column))
                row[column] = 1.0
                broken[column] = self._broken(those[0], way)
                sums[column] = sum(lot.start for lot in way)
                for lot in way if not job.own else ():
                    taken[lot][column] = 1.0
            if not row:
                return None
            programme.exactly(len(those), row)
        for lot, there in taken.items():
            programme.at_most(lot.room, there)
        programme.at_most(apart, {column: float(broken[column]) for column in +broken})
        programme.goal(broken, apart)
        programme.goal(sums, sum(sums.values()) + 1)
        found = programme.solve(seconds)
        if not isinstance(found, Solution):
            return None
        made: Made = {}
        for job, way, column in ways:
            for _ in range(found.values[column]):
                made[alike[job].pop()] = way
        return made

    def _ways(self, which: int, lots: Sequence[Lot], parts: bool) -> list[tuple[Lot, ...]]:
        """Return the sets of lots in which a charge could be made, none with one too many."""
        job, run = self.jobs[which], self._runs[which]
        if job.own:
            return [(lot,) for lot in lots if run.get(lot.start, 0) >= job.steps]
        use = {lot: min(lot.length, run.get(lot.start, 0)) for lot in lots}
        found: list[tuple[Lot, ...]] = [(lot,) for lot in lots if use[lot] >= job.steps]
        short = [lot for lot in lots if 0 < use[lot] < job.steps]
        for number in range(2, len(short) + 1):
            apart = parts and number <= MOST_PARTS
            many = combinations(short, number) if apart else _in_a_row(short, number)
            for way in many:
                steps = [use[lot] for lot in way]
                enough = sum(steps) >= job.steps > sum(steps) - min(steps)
                if enough and (apart or not self._broken(which, way)):
                    found.append(way)
        return found

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


def _in_a_row(lots: Sequence[Lot], number: int) -> Iterator[tuple[Lot, ...]]:
    return (tuple(lots[at : at + number]) for at in range(len(lots) - number + 1))
