"""Whether charges are too many for some lots, by putting a price on a place in each.

Whoever takes the cheapest places that do for it pays no more than in any plan; where all together
would pay more than all places are worth, no plan makes them all (weak duality of linear programmes:
von Neumann 1947; Gale, Kuhn and Tucker 1951). Prices start as the lots' lengths, and rise where
more is asked for than there is (a subgradient step, after Polyak 1969). To be taken off early has a
price too, where that may not be as often as one likes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    from clubbot.rules.energy.sets import Flags, Numbers, Sets, Shares

MOST_PARTS = 2
"""A charge is made in so many lots at most, or in any number that follow on each other."""
_ROUNDS = 8
_SOME = 3
_HOPELESS = 0.92
"""After so many rounds, a share under this isn't going to rise above 1 in those that are left."""
_ROUNDING = 1e-5
_BEYOND = 1.05
"""How much more than all places are worth is aimed at in a step."""
_AT_ONCE = 2048
"""So many sets are held at a time."""
_BITS = 7
_FINE, _WAYS, _DEAR = 1 << 14, 1 << _BITS, 1000
"""A price is a whole number of such parts of a step, and carries the number of its way: with prices
below the last, all that fits 31 bits."""


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """Charges as (steps, how many), and for how many steps they may stay on from each step on."""

    charges: tuple[tuple[int, int], ...]
    stay: Numbers


def by_length(sets: Sets, demand: Demand) -> Shares:
    """Return what `asked_for` says where a place costs as much as it is long, in less time."""
    import numpy as np

    many = range(0, len(sets), _AT_ONCE)
    parts = [_by_length(sets.some(slice(at, at + _AT_ONCE)), demand) for at in many]
    return np.concatenate(parts) if parts else np.zeros(0)


def _by_length(sets: Sets, demand: Demand) -> Shares:
    import numpy as np

    ways, _ = _ways(sets.number, MOST_PARTS)
    length = sets.lengths.T.astype(np.int32)
    use = np.minimum(length, demand.stay[sets.starts].T.astype(np.int32))
    whole = bool((use == length).all())
    none = max(int(use.sum(0).max(initial=0)), demand.charges[-1][0]) + 1
    price = np.full(len(sets) * none, none, dtype=np.int32)
    first = np.arange(len(sets), dtype=np.int32) * none
    for way in ways:
        at, cost = first + use[way[0]], length[way[0]]
        for lot in way[1:]:
            at, cost = at + use[lot], cost + length[lot]
        price[at] = cost if whole else np.minimum(price[at], cost)
    cheapest = np.minimum.accumulate(price.reshape(len(sets), none)[:, ::-1], axis=1)[:, ::-1]
    steps = [each for each, _ in demand.charges]
    paid = cheapest[:, steps] @ np.array([each for _, each in demand.charges])
    worth = (sets.rooms * sets.lengths).sum(1)
    share = _divided(paid, worth)
    share[cheapest[:, steps[-1]] == none] = np.inf
    return share


def asked_for(
    sets: Sets, demands: Sequence[Demand], apart: int | None, *, sure: float = 1.0
) -> Shares:
    """Return for each set the share of their worth that charges would pay for lots.

    More than 1 proves that they can't all be made in these with at most `apart` of them taken off
    early (None: any number); less proves nothing. What is beyond `sure` isn't looked at further.
    """
    import numpy as np

    found = np.zeros(len(sets))
    if not demands or not len(sets):
        return found
    market = _Market.of(sets, demands, apart)
    impossible = np.any([asked[:, -1] > 0 for asked in market.asked], axis=0)
    found[impossible] = np.inf
    rows, market = np.flatnonzero(~impossible), market.some(~impossible)
    found[rows] = market.started()
    for turn in range(_ROUNDS):
        share, changed = market.turn()
        found[rows] = np.maximum(found[rows], share)
        goes_on = changed & (found[rows] <= sure + _ROUNDING)
        if turn >= _SOME:
            goes_on &= found[rows] >= _HOPELESS
        if not goes_on.any():
            break
        if not goes_on.all():
            rows, market = rows[goes_on], market.some(goes_on)
    return np.where(found > 1 + _ROUNDING, found, np.minimum(found, 1.0))


@dataclass(slots=True, eq=False)
class _Market:
    """Prices in all sets; by demand, `order` of the ways by their length, and `asked`: how many
    charges need one at least as long as the nth."""

    uses: Shares
    order: list[Numbers]
    asked: list[Shares]
    rooms: Shares
    prices: Shares
    broken: Flags
    apart: int | None
    extra: Shares
    first: list[Shares]
    """Prices to start with: lengths, of those lots only that may be used until some day."""

    @classmethod
    def of(cls, sets: Sets, demands: Sequence[Demand], apart: int | None) -> _Market:
        import numpy as np

        ways, runs = _ways(sets.number, 1 if apart == 0 else MOST_PARTS)
        uses = np.zeros((len(ways), sets.number), dtype=np.int64)
        broken = np.ones((len(sets), len(ways)), dtype=bool)
        for row, way in enumerate(ways):
            uses[row, list(way)] = 1
            if way[-1] - way[0] == len(way) - 1:
                broken[:, row] = ~sets.follow[:, way[0] + 1 : way[-1] + 1].all(1)
        never = broken & np.array(runs)
        both = [_lined_up(sets, demand, uses, never) for demand in demands]
        usable = np.cumsum([demand.stay[sets.starts] > 0 for demand in demands[:-1]], axis=0)
        return cls(
            uses=uses.astype(float),
            order=[order for order, _ in both],
            asked=[asked for _, asked in both],
            rooms=sets.rooms.astype(float),
            prices=sets.lengths.astype(float),
            broken=broken,
            apart=apart,
            extra=np.zeros(len(sets)),
            first=[sets.lengths * (some > 0) for some in usable],
        )

    def some(self, which: Flags) -> _Market:
        return _Market(
            self.uses, [each[which] for each in self.order], [each[which] for each in self.asked],
            self.rooms[which], self.prices[which], self.broken[which], self.apart,
            self.extra[which], [each[which] for each in self.first],
        )  # fmt: skip

    def started(self) -> Shares:
        """Choose the prices to start with: those where only lots until some day cost anything."""
        import numpy as np

        best = _divided(*self.paid()[:2])
        prices = self.prices
        for each in self.first:
            self.prices = each
            share = _divided(*self.paid()[:2])
            better = share > best
            prices = np.where(better[:, None], self.prices, prices)
            best = np.maximum(best, share)
        self.prices = prices
        return best

    def turn(self) -> tuple[Shares, Flags]:
        """Return what share is paid, and whether prices were changed that didn't suit."""
        import numpy as np

        paid, worth, taken = self.paid()
        over = np.einsum("sw,wl->sl", taken, self.uses) - self.rooms
        size = (over * over).sum(1)
        if self.apart:
            often = (taken * self.broken).sum(1) - self.apart
            size += often * often
        step = _divided(_BEYOND * worth - paid, size)
        self.prices = np.maximum(0.0, self.prices + step[:, None] * over)
        if self.apart:
            self.extra = np.maximum(0.0, self.extra + step * often)
        return _divided(paid, worth), (size > 0) & (worth > 0)

    def paid(self) -> tuple[Shares, Shares, Shares]:
        """Return what all pay and what all is worth, and how many take each way."""
        import numpy as np

        price = np.einsum("sl,wl->sw", self.prices, self.uses)
        worth = (self.rooms * self.prices).sum(1)
        if self.apart:
            price += self.extra[:, None] * self.broken
            worth = worth + self.apart * self.extra
        price = np.minimum(price, _DEAR)
        keys = (price * _FINE).astype(np.int32) * _WAYS + np.arange(len(self.uses), dtype=np.int32)
        paid, taken = np.zeros(len(keys)), np.zeros(keys.shape)
        for order, asked in zip(self.order, self.asked, strict=True):
            best = np.take_along_axis(keys, order, 1)[:, ::-1]
            best = np.minimum.accumulate(best, axis=1)[:, ::-1]
            paid += (asked[:, :-1] * (best >> _BITS)).sum(1) / _FINE
            taken += _counted(best & (_WAYS - 1), asked[:, :-1], len(self.uses))
        return paid, worth, taken


def _divided(paid: Shares, worth: Shares) -> Shares:
    import numpy as np

    found: Shares = np.divide(paid, worth, out=np.zeros(len(paid)), where=worth > 0)
    return found


def _lined_up(sets: Sets, demand: Demand, uses: Numbers, never: Flags) -> tuple[Numbers, Shares]:
    """Return the ways by their length, and how many charges need one as long as the nth."""
    import numpy as np

    use = np.minimum(sets.lengths, demand.stay[sets.starts])
    long = np.einsum("sl,wl->sw", use, uses)
    long[never] = 0
    order = np.argsort(long, axis=1, kind="stable")
    long = np.take_along_axis(long, order, 1)
    at = np.stack([(long < steps).sum(1) for steps, _ in demand.charges], axis=1)
    many = np.array([float(each) for _, each in demand.charges])
    return order, _counted(at, np.broadcast_to(many, at.shape), len(uses) + 1)


def _counted(at: Numbers, many: Shares, number: int) -> Shares:
    """Return for each row how many there are at each of so many places."""
    import numpy as np

    flat = at + np.arange(len(at))[:, None] * number
    found: np.ndarray = np.bincount(flat.ravel(), many.ravel(), len(at) * number)
    return found.reshape(len(at), number)


@cache
def _ways(number: int, parts: int) -> tuple[tuple[tuple[int, ...], ...], tuple[bool, ...]]:
    """Return the sets of lots that a charge may take, and which do only if they follow on."""
    every = range(number)
    free = [way for many in range(1, parts + 1) for way in combinations(every, many)]
    runs = [
        tuple(range(first, last + 1)) for first in every for last in range(first + parts, number)
    ]
    return (*free, *runs), (*(False for _ in free), *(True for _ in runs))
