"""The sets of moments at which somebody may walk to the chargers, as lots that begin there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from clubbot.rules.energy.places import MOST_PARTS, Lot, Places
from clubbot.rules.energy.prices import asked_for
from clubbot.rules.energy.slots import Slots, stretches

_BEGINS = 4
_WIDE = (0, 4, 24, 10, 6, 4)
"""How many steps are tried for each moment of a span, by how many moments it has."""
_TIGHT = 0.8
"""From this share of all places on it is worth a look at prices."""


class Openings:
    """What sets of lots there are for the charges of `places`, of which so many are looked at."""

    def __init__(self, slots: Slots, places: Places) -> None:
        self.slots, self.places = slots, places
        self.left = 0
        """How many more are looked at: none where there were too many."""
        jobs = places.jobs.values()
        steps = sorted({step for job in jobs for step in job.allowed})
        self.spans = stretches(slots, steps)
        self.due = [places.due(last) for _, last in self.spans]
        self.lengths = sorted({job.steps for job in jobs})
        begins = {first for job in jobs for first, _ in stretches(slots, job.allowed)}
        begins |= {step for step in steps if slots.room(step) > slots.room(step - 1)}
        self.begins = [
            _thinned([step for step in sorted(begins) if first <= step <= last], _BEGINS)
            for first, last in self.spans
        ]
        self.even = [self._even(*span) for span in self.spans]
        self._known: dict[tuple[int, int], list[tuple[Lot, ...]]] = {}

    def of(self, number: int, most: int) -> Iterator[tuple[Lot, ...]]:
        """Yield the sets of so many lots in which all may be made; `most`: looked at in all."""
        self.left = most
        for lots in self._grown(0, number, ()):
            if self.places.by_their_own(lots) and self.may(lots, self.places.every):
                yield lots

    def moved(self, lots: tuple[Lot, ...], steps: int) -> Iterator[tuple[Lot, ...]]:
        """Yield the sets with one lot begun up to so many steps sooner or later than in this."""
        for at in range(1, len(lots)):
            before, after = lots[at - 1], lots[at]
            if before.end != after.start or after.start in self.slots.breaks:
                continue
            for by in (step for far in range(1, steps + 1) for step in (-far, far)):
                start = after.start + by
                if before.start < start < after.end:
                    two = self._from((before.start, start), after.end)
                    yield (*lots[: at - 1], *two, *lots[at + 1 :])

    def _grown(self, span: int, left: int, lots: tuple[Lot, ...]) -> Iterator[tuple[Lot, ...]]:
        """Yield the sets that go on so, each as long as what is due by then may be made in it."""
        if span == len(self.spans):
            yield lots
            return
        here = range(left, left + 1) if span + 1 == len(self.spans) else range(left + 1)
        even = left / (len(self.spans) - span)
        for number in sorted(here, key=lambda each: abs(each - even)):
            for more in self._lots(span, number):
                if left > number == 2 and self.even[span] and more[0].length > more[1].length:
                    continue  # the same two lots come the other way round
                if self.left <= 0:
                    return
                self.left -= 1
                if self.may(lots + more, self.due[span]) and self._affords(lots + more, span):
                    yield from self._grown(span + 1, left - number, lots + more)

    def may(self, lots: Sequence[Lot], among: int) -> bool:
        """Say whether nothing speaks against making some of the charges in these lots."""
        if not among:
            return True
        spare = sum(lot.room for lot in lots) - among.bit_count()
        steps = sum(lot.room * lot.length for lot in lots) - self.places.volume(among)
        return spare >= 0 and steps >= 0 and self.places.unplaced(lots, among) <= spare

    def _even(self, first: int, last: int) -> bool:
        """Say whether what may be on in a span may be on all the time, so that order is free."""
        every = set(range(first, last + 1))
        there = (every.intersection(job.allowed) for job in self.places.jobs.values())
        return all(len(steps) in (0, len(every)) for steps in there) and (
            len({self.slots.room(step) for step in every}) == 1
        )

    def _affords(self, lots: Sequence[Lot], span: int) -> bool:
        """Say whether no price rules out that what is due by then is made, where it is tight."""
        due = self.due[span]
        room = sum(lot.room * lot.length for lot in lots)
        if self.places.volume(due) < _TIGHT * room:
            return True
        return asked_for(lots, self.places.lengths(due), MOST_PARTS) <= 1

    def _lots(self, span: int, number: int) -> list[tuple[Lot, ...]]:
        """Return the ways to have so many lots in a span, none begun without a reason.

        That is a first step of some charge, or the end of a charge that began with a lot before.
        """
        key = span, number
        if key not in self._known:
            last = self.spans[span][1]
            wide = _WIDE[number] if number < len(_WIDE) else _WIDE[-1]
            found = self._starts(self.begins[span], last, number, wide)
            ways = (self._from(starts, last + 1) for starts in found)
            self._known[key] = [lots for lots in ways if all(lot.room for lot in lots)]
        return self._known[key]

    def _starts(
        self, begins: Sequence[int], last: int, number: int, wide: int
    ) -> Iterator[tuple[int, ...]]:
        if number == 0:
            yield ()
            return
        for starts in self._starts(begins, last, number - 1, wide):
            after = {start + length for start in starts for length in self.lengths}
            after = {step for step in after.union(begins) if step <= last}
            later = sorted(step for step in after if not starts or step > starts[-1])
            for step in _thinned(later, wide):
                yield (*starts, step)

    def _from(self, starts: Sequence[int], end: int) -> tuple[Lot, ...]:
        return tuple(
            Lot(start, stop - start, min(self.slots.room(step) for step in range(start, stop)))
            for start, stop in pairwise((*starts, end))
        )


def _thinned(steps: Sequence[int], number: int) -> Sequence[int]:
    """Return so many of some steps, evenly chosen, the first and the last among them."""
    if len(steps) <= number:
        return steps
    return [steps[at * (len(steps) - 1) // (number - 1)] for at in range(number)]
