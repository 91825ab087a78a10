"""Charge plans by their moments: first when somebody walks to the chargers, then what is put on.

Moments are few, so the sets of them (`openings`) are gone through from the smallest number on, and
Hall's condition and prices drop most sets at once. Of the sets with which all charges can be made,
those with the fewest stretches are kept, and of these the one that is done first.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubbot.rules.energy.openings import Openings
from clubbot.rules.energy.places import Lot, Made, Places
from clubbot.rules.energy.prices import asked_for
from clubbot.rules.energy.slots import On, Slots

if TYPE_CHECKING:
    from clubbot.rules.energy.sets import Flags, Numbers, Sets, Shares

_MOST = 8
"""With more moments than this the sets are too many."""
_SETS = 9000
_TRIES = 80
_ENDS = 1500
"""For each second that may be taken: sets of moments that are looked at, sets that are solved, and
sets of which it is worked out when they may be done first."""
_EASY = 6
"""With more moments than this fewer sets are looked at, as each takes longer."""
_SOME, _NEARLY = 8, 1.01
"""First one set in so many is looked at; where all ask for more than this, so would the others."""
_CLOSER = 2
"""How often it is chosen anew from the hours until what was found is done."""
_MOVED = 3
"""By so many steps a moment is moved to be done sooner."""
_ONE_PROGRAMME = 0.2
"""Seconds of the solver; hundredfold of what one takes."""


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
        if number > _MOST:
            break
        made = search.best(number)
        if made is not None:
            if search.openings.thinned and number <= _EASY:
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
        search = _Search(fewer, Places(fewer, list(places.jobs)), seconds / 2)
        found = search.best(number, places.apart(made))
        if found is None:
            break
        made = found
    return made


@dataclass(frozen=True, slots=True)
class _Found:
    """One set, and how all is made in it."""

    sets: Sets
    made: Made


class _Search:
    def __init__(self, slots: Slots, places: Places, seconds: float) -> None:
        self.places = places
        self.openings = Openings(slots, places)
        self.offers = self.openings.offers
        self.sets = round(_SETS * seconds)
        self.tries = round(_TRIES * seconds)
        self.ends = round(_ENDS * seconds)
        self.left = 0

    def best(self, number: int, most_apart: int | None = None) -> Made | None:
        """Return how all charges are made with so many moments, as well as it is found.

        With `most_apart` they are taken off early so many times at most.
        """
        sets = self._hopeful(number)
        shares = self._shares(sets, most_apart)
        sets, shares = sets.some(shares <= 1), shares[shares <= 1]
        whole = shares if most_apart == 0 else self._shares(sets, 0)
        self.left = self.tries
        found = self._first_made(sets, whole, 0)
        if found is not None:
            return self._soonest(sets.some(whole <= 1), found, 0)
        if most_apart != 0:
            self.left = self.tries
            limit = number * len(self.places.jobs) if most_apart is None else most_apart
            found = self._first_made(sets, shares, limit)
        if found is None:
            return None
        found = self._seldom_apart(
            sets.some(shares.argsort(kind="stable")[: 5 * self.tries]), found
        )
        return self._soonest(sets, found, self.places.apart(found.made))

    def _hopeful(self, number: int) -> Sets:
        """Return sets of so many lots, none where among some of them none is nearly enough."""
        sets = self.openings.of(number, self.sets // _SOME)
        if self.openings.thinned:
            shares = asked_for(sets, self.openings.demands, None, sure=_NEARLY)
            if not (shares <= _NEARLY).any():
                return sets.some(slice(0))
            most = self.sets if number <= _EASY else round(self.sets * (_EASY / number) ** 3)
            sets = self.openings.of(number, most)
        return sets

    def _shares(self, sets: Sets, apart: int | None) -> Shares:
        return asked_for(sets, self.openings.demands, apart)

    def _first_made(self, sets: Sets, shares: Shares, apart: int) -> _Found | None:
        """Return what is made in the first set in which all is, those with most to spare first."""
        order = shares.argsort(kind="stable")
        order = order[shares[order] <= 1]
        for which in order[: self.left]:
            self.left -= 1
            made = self._made(sets.lots(which), apart)
            if made is not None:
                return _Found(sets.some([which]), made)
        return None

    def _seldom_apart(self, sets: Sets, found: _Found) -> _Found:
        """Return what is made with the fewest taken off early, in these sets and around them."""
        self.left = self.tries
        for around in (False, True):
            apart = self.places.apart(found.made)
            while apart:
                among = self.openings.moved(found.sets, _MOVED) if around else sets
                better = self._first_made(among, self._shares(among, apart - 1), apart - 1)
                if better is None:
                    break
                found, apart = better, self.places.apart(better.made)
        return found

    def _soonest(self, sets: Sets, found: _Found, apart: int) -> Made:
        """Return what is done first of that in which charges are taken off early so often."""
        better: _Found | None = self._sooner(sets, found, apart) or found
        while better is not None:
            found = better
            better = self._sooner(self.openings.moved(found.sets, _MOVED), found, apart)
        return found.made

    def _sooner(self, sets: Sets, found: _Found, apart: int) -> _Found | None:
        """Return what is done before, by going through sets from the one that may be done first."""
        sets, ends = self._by_end(sets, apart)
        better = None
        for which in range(min(len(sets), self.tries)):
            made = (better or found).made
            if ends[which] >= self.places.end(made):
                break
            sooner = self._as_early(sets.lots(which), int(ends[which]), made, apart)
            if sooner is not None:
                better = _Found(sets.some([which]), sooner)
        return better

    def _by_end(self, sets: Sets, apart: int) -> tuple[Sets, Numbers]:
        """Return the sets in the order of the first step by which nothing rules out that they are
        done."""
        import numpy as np

        every = self.places.every
        low = self._first(sets, sets.starts[:, -1] + 1, lambda cut: self.offers.may(cut, every))
        order = np.argsort(low, kind="stable")[: self.ends]
        sets, low = sets.some(order), low[order]
        low = self._first(sets, low, lambda cut: self._shares(cut, apart) <= 1)
        order = np.argsort(low, kind="stable")
        return sets.some(order), low[order]

    def _first(self, sets: Sets, low: Numbers, does: Callable[[Sets], Flags]) -> Numbers:
        """Return for each set the first end from `low` on that does, or the last."""
        import numpy as np

        high = sets.stops[:, -1].copy()
        low = np.minimum(low, high)
        while True:
            open_ = np.flatnonzero(low < high)
            if not len(open_):
                return low
            middle = (low[open_] + high[open_]) // 2
            fine = does(self.offers.cut(sets.some(open_), middle))
            high[open_[fine]] = middle[fine]
            low[open_[~fine]] = middle[~fine] + 1

    def _as_early(self, lots: tuple[Lot, ...], low: int, made: Made, apart: int) -> Made | None:
        """Return what is done before `made` is, as early as with this set; None if nothing is."""
        best, high = None, self.places.end(made) - 1
        middle = high
        while low <= middle:
            found = self._made(_until(lots, middle), apart)
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
        return self.places.made(lots, _ONE_PROGRAMME, apart=apart)


def _until(lots: tuple[Lot, ...], end: int) -> tuple[Lot, ...]:
    """Return the lots, the last one cut off."""
    last = lots[-1]
    return (*lots[:-1], replace(last, length=min(last.length, end - last.start)))
