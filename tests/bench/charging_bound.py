"""What no charge plan of a week can beat: fewest moments, and with so many of them the first end.

For weeks like those of `charging`: each charge may be on from the first day to the end of one of
them. Every way to cut each day into lots is gone through, in steps of five minutes and with nothing
left out. For each a linear programme says whether the charges could be made in them if they could
be shared out among places like water, in lots of a day in any order; if so, a programme in whole
numbers says it again, where it matters for each order of the lots. So the bound holds for plans
with interruptions too.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, pairwise, permutations, product

import highspy

from clubbot.rules.availability.programme import quiet
from clubbot.rules.energy.places import Lot, Places
from clubbot.rules.energy.slots import Slots, stretches
from tests.bench.charging_prices import asked_for, fitting, unplaced

_ONE = 5.0
"""Seconds for one programme."""
_MOST_ORDERED = 7
"""Lots of a day whose orders are gone through: eight have 40,320, and count as if some might do."""


class Bounds:
    """Bounds of one week; what isn't proved within `seconds` each counts as possible."""

    def __init__(self, slots: Slots, seconds: float) -> None:
        self.slots = slots
        self.seconds = seconds
        self.places = Places(slots, range(len(slots.jobs)))
        self.spans = stretches(slots, sorted({s for job in slots.jobs for s in job.allowed}))
        self._fit: dict[Lot, int] = {}
        self.until = 0.0

    def moments(self, most: int) -> int:
        """Return the fewest moments with which all may be made, at most so many."""
        self._begin()
        end = self.spans[-1][1] + 1
        least = -(-len(self.slots.jobs) // self.slots.bays)
        return next((n for n in range(least, most) if self._may(n, end, None)), most)

    def apart(self, moments: int, most: int) -> int:
        """Return how often at least charges are taken off early with so many moments."""
        self._begin()
        end = self.spans[-1][1] + 1
        return next((n for n in range(most) if self._may(moments, end, n)), most)

    def end(self, moments: int, apart: int, least: int, most: int, near: int) -> int:
        """Return the first step by whose end all may be done, taken off early `apart` times.

        None is before `least`. It is asked first whether that is before `near`: the time may not
        last for more.
        """
        self._begin()
        middle = max(min(near, most) - 1, least)
        while least < most:
            if self._may(moments, middle, apart):
                most = middle
            else:
                least = middle + 1
            middle = most - 1 if most - least < 4 else (least + most) // 2
        return most

    def _begin(self) -> None:
        self.until = time.process_time() + self.seconds

    def _may(self, number: int, end: int, apart: int | None) -> bool:
        """Say whether anything may be done by then with so many moments, or it isn't known."""
        if any(sum(step < end for step in job.allowed) < job.steps for job in self.slots.jobs):
            return False
        days = [(first, min(last + 1, end)) for first, last in self.spans if first < end]
        due = [self.places.due(stop - 1) for _, stop in days]
        due[-1] = self.places.every
        return any(self._fits(lots, apart) for lots in self._cut(days, due, number, ()))

    def _cut(
        self,
        days: Sequence[tuple[int, int]],
        due: Sequence[int],
        number: int,
        lots: tuple[Lot, ...],
    ) -> Iterator[tuple[Lot, ...]]:
        if not days:
            yield lots
            return
        first, stop = days[0]
        for here in range(number if len(days) == 1 else 0, number + 1):
            for lengths in _shared(stop - first, here, 1):
                if time.process_time() > self.until:
                    yield lots
                    return
                found = (*lots, *_laid(first, lengths, self.slots.bays))
                if self._due(found, due[0]):
                    yield from self._cut(days[1:], due[1:], number - here, found)

    def _due(self, lots: Sequence[Lot], among: int) -> bool:
        spare = sum(lot.room for lot in lots) - among.bit_count()
        volume = sum(lot.room * lot.length for lot in lots) - self.places.volume(among)
        if spare < 0 or volume < 0:
            return False
        for lot in lots:
            if lot not in self._fit:
                self._fit[lot] = fitting(self.places, lot)
        if unplaced([(self._fit[lot], lot.room) for lot in lots], among) > spare:
            return False
        return not among or asked_for(lots, self.places.lengths(among), len(lots)) <= 1

    def _fits(self, lots: tuple[Lot, ...], apart: int | None) -> bool:
        if time.process_time() > self.until:
            return True
        if asked_for(lots, self.places.lengths(self.places.every), len(lots)) > 1:
            return False
        if not self._solved(lots, apart, self._days_but_one, whole=False):
            return False
        if apart is None:
            return self._solved(lots, apart, self._days_but_one, whole=True)
        orders = self._orders(lots)
        if orders is None:
            return True
        return any(self._solved(order, apart, self._gaps, whole=True) for order in orders)

    def _orders(self, lots: Sequence[Lot]) -> Iterator[tuple[Lot, ...]] | None:
        """Return the lots in each order of those of a day, one of two that mirror each other.

        None where a day has too many lots.
        """
        spans = self.spans
        days = [[lot for lot in lots if first <= lot.start <= last] for first, last in spans]
        if max(map(len, days)) > _MOST_ORDERED:
            return None
        found = [
            sorted({min(order, order[::-1]) for order in permutations(lot.length for lot in day)})
            for day in days
            if day
        ]
        starts = [day[0].start for day in days if day]
        return (
            tuple(
                lot
                for at, order in zip(starts, orders, strict=True)
                for lot in _laid(at, order, self.slots.bays)
            )
            for orders in product(*found)
        )

    def _solved(
        self,
        lots: Sequence[Lot],
        apart: int | None,
        broken_in: Callable[[Sequence[Lot], Sequence[int]], int],
        *,
        whole: bool,
    ) -> bool:
        """Say whether a programme has a solution, or it isn't known: charges, or where they aren't
        whole their shares, by the sets of lots that they'd be on in."""
        if time.process_time() > self.until:
            return True
        solver = quiet()
        solver.setOptionValue("time_limit", _ONE)
        room: list[list[int]] = [[] for _ in lots]
        broken: list[tuple[int, int]] = []
        columns = 0
        rows: list[tuple[float, float, list[int], list[float]]] = []
        for (steps, last), many in Counter(
            (j.steps, j.allowed[-1]) for j in self.slots.jobs
        ).items():
            usable = [at for at, lot in enumerate(lots) if lot.start <= last]
            ways = list(_ways(lots, usable, steps))
            if apart == 0:
                ways = [way for way in ways if not broken_in(lots, way)]
            if not ways:
                return False
            rows.append((many, many, list(range(columns, columns + len(ways))), [1.0] * len(ways)))
            for way in ways:
                for at in way:
                    room[at].append(columns)
                broken.append((columns, broken_in(lots, way)))
                columns += 1
        for lot, there in zip(lots, room, strict=True):
            rows.append((0, lot.room, there, [1.0] * len(there)))
        if apart:
            some = [(column, times) for column, times in broken if times]
            rows.append((0, apart, [c for c, _ in some], [float(times) for _, times in some]))
        for _ in range(columns):
            solver.addVar(0, highspy.kHighsInf)
        for low, high, there, weights in rows:
            solver.addRow(low, high, len(there), there, weights)
        if whole:
            for column in range(columns):
                solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        solver.run()
        return solver.getModelStatus() != highspy.HighsModelStatus.kInfeasible

    def _gaps(self, lots: Sequence[Lot], way: Sequence[int]) -> int:
        follow = self.slots.follows
        return sum(
            lots[two].start != lots[one].end or not follow(lots[two].start)
            for one, two in pairwise(way)
        )

    def _days_but_one(self, lots: Sequence[Lot], way: Sequence[int]) -> int:
        days = {
            number
            for number, (first, last) in enumerate(self.spans)
            if any(first <= lots[at].start <= last for at in way)
        }
        return len(days) - 1


def _ways(lots: Sequence[Lot], usable: Sequence[int], steps: int) -> Iterator[tuple[int, ...]]:
    """Yield the least sets of lots that are long enough together."""
    for many in range(1, len(usable) + 1):
        for way in combinations(usable, many):
            lengths = [lots[at].length for at in way]
            if sum(lengths) >= steps > sum(lengths) - min(lengths):
                yield way


def _shared(length: int, number: int, least: int) -> Iterator[tuple[int, ...]]:
    """Yield the ways to share a length out among so many lots, the shortest first."""
    if number == 0:
        yield ()
    elif number == 1:
        if length >= least:
            yield (length,)
    else:
        for first in range(least, length // number + 1):
            for rest in _shared(length - first, number - 1, first):
                yield (first, *rest)


def _laid(start: int, lengths: Sequence[int], bays: int) -> Iterator[Lot]:
    for length in lengths:
        yield Lot(start, length, bays)
        start += length
