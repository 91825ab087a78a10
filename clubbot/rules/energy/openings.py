"""The sets of moments at which somebody may walk to the chargers, as lots that begin there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from math import comb
from typing import TYPE_CHECKING

from clubbot.rules.energy.places import Places
from clubbot.rules.energy.prices import by_length
from clubbot.rules.energy.sets import Offers, Sets
from clubbot.rules.energy.slots import Slots, stretches

if TYPE_CHECKING:
    from clubbot.rules.energy.sets import Numbers

_BEGINS = 4
_WAYS = 2500
"""So many ways to have some lots in a span are looked at, evenly chosen."""


class Openings:
    """What sets of lots there are for the charges of `places`."""

    def __init__(self, slots: Slots, places: Places) -> None:
        self.slots, self.places = slots, places
        self.offers = Offers(slots, places)
        jobs = places.jobs.values()
        steps = sorted({step for job in jobs for step in job.allowed})
        self.spans = stretches(slots, steps)
        self.due = [places.due(last) for _, last in self.spans]
        new = [due & ~before for before, due in pairwise((0, *self.due))]
        self.demands = [self.offers.demand(among) for among in new if among]
        begins = {first for job in jobs for first, _ in stretches(slots, job.allowed)}
        begins |= {step for step in steps if slots.room(step) > slots.room(step - 1)}
        self.begins = [
            _thinned([step for step in sorted(begins) if first <= step <= last], _BEGINS)
            for first, last in self.spans
        ]
        self.even = [self._even(*span) for span in self.spans]
        rooms = [
            [slots.room(step) for step in range(first, last + 1)] for first, last in self.spans
        ]
        self.most = [max(room, default=0) for room in rooms]
        self.after = [sum(sum(room) for room in rooms[at:]) for at in range(len(rooms) + 1)]
        self.thinned = False
        """Whether there were more sets than were looked at."""
        self._known: dict[tuple[int, int], tuple[Numbers, Numbers]] = {}

    def of(self, number: int, most: int) -> Sets:
        """Return sets of so many lots in which all may be made, at most so many of those begun."""
        import numpy as np

        self.thinned = False
        none = np.zeros((1, 0), dtype=np.int64)
        begun = {0: self.offers.sets(none, none)}
        for span in range(len(self.spans)):
            begun = self._gone_on(begun, span, number, most)
        found = begun.get(number)
        if found is None:
            return self.offers.sets(none[:0].reshape(0, number), none[:0].reshape(0, number))
        found = found.some(self.offers.by_their_own(found))
        return found.some(self.offers.may(found, self.places.every))

    def moved(self, sets: Sets, steps: int) -> Sets:
        """Return sets with one lot begun up to so many steps sooner or later than in these."""
        import numpy as np

        starts, stops = [sets.starts[:0]], [sets.stops[:0]]
        for at in range(1, sets.number):
            which = np.flatnonzero(sets.follow[:, at])
            for by in (each for far in range(1, steps + 1) for each in (-far, far)):
                new = sets.starts[which, at] + by
                fits = (sets.starts[which, at - 1] < new) & (new < sets.stops[which, at])
                start, stop = sets.starts[which[fits]], sets.stops[which[fits]]
                start[:, at] = stop[:, at - 1] = new[fits]
                starts.append(start)
                stops.append(stop)
        return self.offers.sets(np.concatenate(starts), np.concatenate(stops))

    def _gone_on(
        self, begun: dict[int, Sets], span: int, number: int, most: int
    ) -> dict[int, Sets]:
        """Return by how many lots they have the sets that go on with some lots of a span."""
        last = span + 1 == len(self.spans)
        found: dict[int, list[Sets]] = {}
        for had, sets in begun.items():
            for more in range(number - had if last else 0, number - had + 1):
                starts, stops = self._lots(span, more, number - had > more)
                if len(starts):
                    found.setdefault(had + more, []).append(
                        self._joined(sets, starts, stops, span, number, most)
                    )
        kept: dict[int, Sets] = {}
        for had, parts in found.items():
            sets = self._afforded(parts[0].joined(*parts[1:]), span)
            sets = sets.some(self.offers.may(sets, self.due[span]))
            self.thinned |= len(sets) > most
            sets = _evenly(sets, most)
            if len(sets):
                kept[had] = sets
        return kept

    def _joined(
        self, sets: Sets, starts: Numbers, stops: Numbers, span: int, number: int, most: int
    ) -> Sets:
        """Return each set with each of these lots, where there may be room for the rest."""
        import numpy as np

        total = len(sets) * len(starts)
        pairs = np.arange(total)
        if total > 2 * most:
            self.thinned = True
            pairs = np.linspace(0, total - 1, 2 * most).astype(np.int64)
        one, two = pairs // len(starts), pairs % len(starts)
        left = number - sets.number - starts.shape[1]
        every, volume = self.places.every.bit_count(), self.places.volume(self.places.every)
        more = self.offers.sets(starts, stops)
        room = sets.rooms.sum(1)[one] + more.rooms.sum(1)[two]
        room += left * max(self.most[span + 1 :], default=0)
        worth = (sets.rooms * sets.lengths).sum(1)[one] + (more.rooms * more.lengths).sum(1)[two]
        fits = (room >= every) & (worth + self.after[span + 1] >= volume)
        fits &= np.all(more.rooms[two] > 0, axis=1)
        one, two = one[fits], two[fits]
        return self.offers.sets(
            np.concatenate([sets.starts[one], starts[two]], axis=1),
            np.concatenate([sets.stops[one], stops[two]], axis=1),
        )

    def _even(self, first: int, last: int) -> bool:
        """Say whether what may be on in a span may be on all the time, so that order is free."""
        every = set(range(first, last + 1))
        there = (every.intersection(job.allowed) for job in self.places.jobs.values())
        return all(len(steps) in (0, len(every)) for steps in there) and (
            len({self.slots.room(step) for step in every}) == 1
        )

    def _afforded(self, sets: Sets, span: int) -> Sets:
        """Return those of which no price rules out that what is due by then is made in them."""
        due = self.due[span]
        if not due or not len(sets):
            return sets
        return sets.some(by_length(sets, self.offers.demand(due)) <= 1)

    def _lots(self, span: int, number: int, followed: bool) -> tuple[Numbers, Numbers]:
        """Return the starts and stops of so many lots in a span, in many ways.

        The first begins where some charge may begin, or with more room. Where order is free and
        others come after, of two ways that mirror each other there is one.
        """
        import numpy as np

        key = span, number
        if key not in self._known:
            last = self.spans[span][1]
            ways: list[tuple[int, ...]] = [
                (first, *rest)
                for first in self.begins[span]
                for rest in self._later(span, first, number - 1)
            ]
            if not number:
                ways = [()]
            starts = np.array(ways, dtype=np.int64).reshape(len(ways), number)
            stops = np.concatenate(
                [starts[:, 1:], np.full((len(ways), min(number, 1)), last + 1)], axis=1
            )
            self._known[key] = starts, stops
        starts, stops = self._known[key]
        if followed and self.even[span] and number > 1:
            lengths = stops - starts
            kept = lengths[:, 0] <= lengths[:, -1]
            starts, stops = starts[kept], stops[kept]
        if len(starts) > _WAYS:
            some = np.linspace(0, len(starts) - 1, _WAYS).astype(np.int64)
            starts, stops = starts[some], stops[some]
        return starts, stops

    def _later(self, span: int, first: int, number: int) -> Iterator[tuple[int, ...]]:
        if number < 0:
            return
        steps = range(first + 1, self.spans[span][1] + 1)
        wide = len(steps)
        while wide > number and comb(wide, number) > 4 * _WAYS:
            wide -= 1
        yield from combinations(_thinned(steps, wide), number)


def _evenly(sets: Sets, most: int) -> Sets:
    import numpy as np

    if len(sets) <= most:
        return sets
    return sets.some(np.linspace(0, len(sets) - 1, most).astype(np.int64))


def _thinned(steps: Sequence[int], number: int) -> Sequence[int]:
    """Return so many of some steps, evenly chosen, the first and the last among them."""
    if len(steps) <= number:
        return steps
    if number < 2:
        return steps[:number]
    return [steps[at * (len(steps) - 1) // (number - 1)] for at in range(number)]
