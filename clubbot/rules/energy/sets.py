"""Many sets of lots at once, and what the hours offer in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubbot.rules.energy.places import Lot, Places
from clubbot.rules.energy.prices import Demand
from clubbot.rules.energy.slots import Slots

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Numbers = npt.NDArray[np.int64]
    Shares = npt.NDArray[np.float64]
    Flags = npt.NDArray[np.bool_]
    Bits = npt.NDArray[np.uint64]

_FEW = 6
"""With more lots than this Hall's condition, which looks at every subset, is left to the prices."""
_WORD = 64
_AT_ONCE = 1 << 18
"""So many sums of lots are held at a time."""


@dataclass(frozen=True, slots=True, eq=False)
class Sets:
    """Sets of as many lots each, by (set, lot) the steps at which these begin and stop.

    `rooms`: how many places each has; `follow`: it begins as the one before it stops.
    """

    starts: Numbers
    stops: Numbers
    rooms: Numbers
    follow: Flags

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def number(self) -> int:
        return int(self.starts.shape[1])

    @property
    def lengths(self) -> Numbers:
        return self.stops - self.starts

    def some(self, which: Numbers | Flags | slice | list[int]) -> Sets:
        """Return those at some places, or for which something holds."""
        return Sets(self.starts[which], self.stops[which], self.rooms[which], self.follow[which])

    def joined(self, *others: Sets) -> Sets:
        """Return these sets and others, of as many lots each."""
        import numpy as np

        every = (self, *others)
        return Sets(
            np.concatenate([each.starts for each in every]),
            np.concatenate([each.stops for each in every]),
            np.concatenate([each.rooms for each in every]),
            np.concatenate([each.follow for each in every]),
        )

    def lots(self, which: int) -> tuple[Lot, ...]:
        """Return one set."""
        each = zip(self.starts[which], self.lengths[which], self.rooms[which], strict=True)
        return tuple(Lot(int(start), int(length), int(room)) for start, length, room in each)


class Offers:
    """What a lot offers, from any step and of any length: places, and for which charges."""

    def __init__(self, slots: Slots, places: Places) -> None:
        import numpy as np

        self.places = places
        steps = sorted({step for job in places.jobs.values() for step in job.allowed})
        self.last = steps[-1]
        room = [slots.room(step) for step in range(self.last + 1)]
        self.longest = max((stop - first for first, stop in _unbroken(slots, self.last)), default=0)
        self._room = np.zeros((self.last + 2, self.longest + 1), dtype=np.int64)
        runs = np.zeros((self.last + 2, len(places.jobs)), dtype=np.int64)
        for at, which in enumerate(places.jobs):
            for step, run in places.stay(which).items():
                runs[step, at] = run
        need = np.array([job.steps for job in places.jobs.values()])
        own = np.array([job.own for job in places.jobs.values()])
        lengths = np.arange(self.longest + 1)
        for first, stop in _unbroken(slots, self.last):
            for start in range(first, stop):
                self._room[start, 1 : stop - start + 1] = np.minimum.accumulate(room[start:stop])
        fits = (need <= runs[:, None, :]) & (need <= lengths[:, None]) & ~own
        self._fits = _packed(fits)
        self._stay = runs
        self._own = (runs >= need)[:, own]
        self._breaks = np.array([not slots.follows(step) for step in range(self.last + 2)])

    def demand(self, among: int) -> Demand:
        """Return some of the charges together, as if each might be on whenever one of them may."""
        at = [at for at, which in enumerate(self.places.jobs) if among >> which & 1]
        return Demand(tuple(self.places.lengths(among)), self._stay[:, at].max(1))

    def sets(self, starts: Numbers, stops: Numbers) -> Sets:
        import numpy as np

        follow = np.zeros(starts.shape, dtype=bool)
        if starts.shape[1] > 1:
            follow[:, 1:] = (starts[:, 1:] == stops[:, :-1]) & ~self._breaks[starts[:, 1:]]
        return Sets(starts, stops, self._room[starts, stops - starts], follow)

    def cut(self, sets: Sets, end: int | Numbers) -> Sets:
        """Return sets with the last lot cut off at a step."""
        import numpy as np

        stops = sets.stops.copy()
        stops[:, -1] = np.minimum(stops[:, -1], end)
        return self.sets(sets.starts, stops)

    def by_their_own(self, sets: Sets) -> Flags:
        """Say whether each charge on a charger of its own can be put on as some lot begins."""
        import numpy as np

        begun = np.any(self._own[sets.starts], axis=1)
        found: Flags = np.all(begun, axis=1)
        return found

    def may(self, sets: Sets, among: int) -> Flags:
        """Say whether nothing speaks against making some of the charges in these lots."""
        import numpy as np

        spare = sets.rooms.sum(1) - among.bit_count()
        steps = (sets.rooms * sets.lengths).sum(1) - self.places.volume(among)
        found: Flags = (spare >= 0) & (steps >= 0)
        if among and sets.number <= _FEW and found.any():
            left = np.flatnonzero(found)
            found[left] = self.unplaced(sets.some(left), among) <= spare[left]
        return found

    def unplaced(self, sets: Sets, among: int) -> Numbers:
        """Return how many of some charges can't each have a place of their own.

        So many as some lots have too few places for those that fit in no other (Hall, Journal of
        the London Mathematical Society 10, 1935, in the form that counts the rest).
        """
        import numpy as np

        many = max(1, _AT_ONCE >> sets.number)
        parts = [
            self._unplaced(sets.some(np.arange(at, min(at + many, len(sets)))), among)
            for at in range(0, len(sets), many)
        ]
        return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)

    def _unplaced(self, sets: Sets, among: int) -> Numbers:
        import numpy as np

        bits = self._bits(among)
        fits = self._fits[sets.starts, sets.lengths] & bits
        there = np.zeros((len(sets), 1 << sets.number, len(bits)), dtype=np.uint64)
        elsewhere = np.zeros((len(sets), 1 << sets.number), dtype=np.int64)
        for lot in range(sets.number):
            old, new = slice(0, 1 << lot), slice(1 << lot, 2 << lot)
            np.bitwise_or(there[:, old], fits[:, None, lot], out=there[:, new])
            np.add(elsewhere[:, old], sets.rooms[:, None, lot], out=elsewhere[:, new])
        alone = among.bit_count() - np.bitwise_count(there).sum(2, dtype=np.int64)
        found: Numbers = (alone + elsewhere).max(1) - sets.rooms.sum(1)
        return found

    def _bits(self, among: int) -> Bits:
        import numpy as np

        return _packed(np.array([bool(among >> which & 1) for which in self.places.jobs]))


def _unbroken(slots: Slots, last: int) -> list[tuple[int, int]]:
    """Return the stretches of hours, each as its first step and the one after."""
    firsts = [step for step in range(last + 1) if not step or not slots.follows(step)]
    return list(zip(firsts, [*firsts[1:], last + 1], strict=True))


def _packed(flags: Flags) -> Bits:
    """Return flags as the bits of as many words as they need."""
    import numpy as np

    words = -(-flags.shape[-1] // _WORD)
    wide = np.zeros((*flags.shape[:-1], words * _WORD), dtype=bool)
    wide[..., : flags.shape[-1]] = flags
    return np.packbits(wide, axis=-1).view(np.uint64)
