"""Charge plans by their moments: first when somebody walks to the chargers, then what is put on.

Moments are few, so the sets of them (`openings`) are gone through from the smallest number on, and
Hall's condition (`places`) and prices drop most sets at once. Of the sets with which all charges
can be made, those with the fewest stretches are kept, and of these the one that is done first.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from clubbot.rules.energy.openings import Openings
from clubbot.rules.energy.places import MOST_PARTS, Lot, Made, Places
from clubbot.rules.energy.prices import asked_for
from clubbot.rules.energy.slots import On, Slots

_MOST = 7
"""With more moments than this the sets are too many."""
_EASY = 5
"""With more moments than this fewer sets are looked at, as each takes longer."""
_SETS = 7000
_TRIES = 110
"""For each second that may be taken: sets of so many moments that are looked at, and of those with
most to spare, and of those that may be done first, how many are solved."""
_CLOSER = 1
"""How often it is chosen anew from the hours until what was found is done."""
_MOVED = 3
"""By so many steps a moment is moved to be done sooner."""
_ONE_PROGRAMME = 0.2
"""Seconds of the solver; hundredfold of what one takes."""


@dataclass(frozen=True, slots=True, order=True)
class _Set:
    """Lots in which all may be made, but not before the end of step `end`."""

    end: int
    lots: tuple[Lot, ...]

    def until(self, end: int) -> tuple[Lot, ...]:
        """Return the lots, the last one cut off."""
        last = self.lots[-1]
        return (*self.lots[:-1], replace(last, length=min(last.length, end - last.start)))


def with_fewest_moments(
    slots: Slots, kept: Sequence[int], numbers: range, seconds: float
) -> tuple[On, ...] | None:
    """Return a plan that makes the charges `kept` with the fewest moments, of which `numbers`.

    None where none is found within the sets that may be looked at: no proof that there is none.
    """
    places = Places(slots, kept)
    if not places.every:
        return None
    search = _Search(slots, places, seconds)
    for number in numbers:
        if number > _MOST or (number > _EASY + 1 and not search.openings.left):
            break
        made = search.best(number)
        if made is not None:
            made = _looked_at_closely(slots, places, made, number, seconds)
            return tuple(
                places.steps(which, made[which]) if which in made else ()
                for which in range(len(slots.jobs))
            )
    return None


def _looked_at_closely(
    slots: Slots, places: Places, made: Made, number: int, seconds: float
) -> Made:
    """Return what is done sooner, with fewer hours to choose from, and so more closely chosen."""
    for _ in range(_CLOSER):
        end = places.end(made) - 1
        cut = tuple(
            replace(job, allowed=tuple(step for step in job.allowed if step < end))
            for job in slots.jobs
        )
        if any(len(cut[which].allowed) < job.steps for which, job in places.jobs.items()):
            break
        fewer = replace(slots, jobs=cut)
        search = _Search(fewer, Places(fewer, list(places.jobs)), seconds)
        found = search.best(number, places.apart(made))
        if found is None:
            break
        made = found
    return made


class _Search:
    def __init__(self, slots: Slots, places: Places, seconds: float) -> None:
        self.places = places
        self.openings = Openings(slots, places)
        self.charges = places.lengths(places.every)
        self.seconds = seconds

    def best(self, number: int, apart: int | None = None) -> Made | None:
        """Return how all charges are made with so many moments, as well as it is found.

        With `apart` they are taken off early so many times at most.
        """
        share = self.seconds * min(1.0, (_EASY / number) ** 3)
        most = round(_TRIES * share)
        sets = [self._soonest_by_place(s) for s in self.openings.of(number, round(_SETS * share))]
        for parts in (1, MOST_PARTS) if apart != 0 else (1,):
            spare = self._with_most_to_spare(sets, parts)
            limit = number * len(self.places.jobs) if apart is None else apart
            limit = limit if parts > 1 else 0
            tries = (self._made(each.lots, limit) for each in spare[:most])
            made = next((found for found in tries if found is not None), None)
            if made is None:
                continue
            for each in spare[:most] if parts > 1 else ():
                made = self._made(each.lots, self.places.apart(made) - 1) or made
            hopeful = {*spare[:most], *sorted(spare)[:most]}
            in_order = sorted(self._soonest_by_price(each, parts) for each in hopeful)
            return self._soonest(in_order, made, self.places.apart(made))
        return None

    def _soonest_by_place(self, lots: tuple[Lot, ...]) -> _Set:
        """Return a set with the first end by which there are places for all."""
        every = self.places.every
        ends = range(lots[-1].start + 1, lots[-1].end + 1)
        each = _Set(lots[-1].end, lots)
        return replace(
            each, end=_first(ends, lambda end: self.openings.may(each.until(end), every))
        )

    def _soonest_by_price(self, each: _Set, parts: int) -> _Set:
        """Return it with the first end that no price rules out either."""
        ends = range(each.end, each.lots[-1].end + 1)
        end = _first(ends, lambda end: asked_for(each.until(end), self.charges, parts) <= 1)
        return replace(each, end=end)

    def _with_most_to_spare(self, sets: Sequence[_Set], parts: int) -> list[_Set]:
        """Return those that no price rules out, which have most to spare first."""
        asked = [asked_for(each.lots, self.charges, parts) for each in sets]
        pairs = sorted((share, each) for share, each in zip(asked, sets, strict=True) if share <= 1)
        return [each for _, each in pairs]

    def _soonest(self, sets: Sequence[_Set], made: Made, apart: int) -> Made:
        """Return what is done first of that in which charges are taken off early so often."""
        best = None
        for each in sets:
            if each.end >= self.places.end(made):
                break
            found = self._sooner(each, made, apart)
            if found is not None:
                best, made = each, found
        while best is not None:
            for each in self._moved(best):
                found = self._sooner(each, made, apart)
                if found is not None:
                    best, made = each, found
                    break
            else:
                break
        return made

    def _moved(self, each: _Set) -> Iterator[_Set]:
        for lots in self.openings.moved(each.lots, _MOVED):
            yield _Set(lots[-1].start + 1, lots)

    def _sooner(self, each: _Set, made: Made, apart: int) -> Made | None:
        """Return what is done before `made` is, as early as with this set; None if nothing is."""
        best, low, high = None, each.end, self.places.end(made) - 1
        middle = high
        while low <= middle:
            found = self._made(each.until(middle), apart)
            if found is not None:
                best, high = found, self.places.end(found) - 1
            elif best is None:
                return None
            else:
                low = middle + 1
            middle = (low + high) // 2
        return best

    def _made(self, lots: tuple[Lot, ...], apart: int) -> Made | None:
        """Return how all is made in these lots, taken off early so many times at most."""
        if not self.openings.may(lots, self.places.every):
            return None
        if asked_for(lots, self.charges, MOST_PARTS if apart else 1) > 1:
            return None
        return self.places.made(lots, _ONE_PROGRAMME, apart=apart)


def _first(ends: range, does: Callable[[int], bool]) -> int:
    """Return the first end that does, the last of them where no other does."""
    return ends[bisect_left(ends, True, 0, len(ends) - 1, key=does)]
