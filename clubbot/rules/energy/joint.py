"""A joint belief of how long a full charge of a battery lasts, and how full it is now.

It is a grid of run time (in minutes of driving) by level, and what is read off it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt
from typing import TYPE_CHECKING

from clubbot.rules.energy.assumed import SURE, USUAL, Assumed
from clubbot.rules.energy.grid import (
    BELOW,
    CELLS,
    LEAST,
    MOST,
    ROWS,
    STEP,
    bell,
    cell_levels,
    kernel,
    points,
)

if TYPE_CHECKING:
    from clubbot.rules.energy.grid import Grid


@dataclass(frozen=True, slots=True)
class Range:
    """The middle of a belief, and the bounds that it lies between four times in five."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Belief:
    """The weight of each cell, run times down and levels across; all weights add up to 1.

    `usual` is the usual run time of its type. `cycles` are the full cycles that it went through
    since its last test, or since it was first known; the run times tell of `aged` of them.
    """

    weights: Grid
    run_minutes: Grid
    assumed: Assumed
    usual: float
    cycles: float = 0.0
    aged: float = 0.0

    @property
    def run_time(self) -> Range:
        """Minutes of driving from a full charge."""
        return _range(self.run_minutes, self.weights.sum(axis=1))

    @property
    def level(self) -> Range:
        """The share of a full charge that is left."""
        return _range(cell_levels().clip(0.0), self.weights.sum(axis=0))

    @property
    def left(self) -> Range:
        """Minutes of driving that are left."""
        minutes = self.run_minutes[:, None] * cell_levels().clip(0.0)
        return _range(minutes.ravel(), self.weights.ravel())

    def lasts(self, driving: float, idle: float = 0.0, uses: int = 1) -> float:
        """Return the chance that it lasts so many minutes of driving, and of idling, in all.

        They are those of several uses alike, each of which may drive more or less than planned.
        """
        need = driving + idle * self.assumed.idle_share
        chance = kernel(drops(self, need, uses))
        lower = chance.cumsum(axis=1) - chance / 2
        held = settled(self).weights[:, BELOW:]
        return float((held * lower[:, : held.shape[1]]).sum())

    def level_for(
        self, driving: float, idle: float = 0.0, uses: int = 1, sure: float = SURE
    ) -> float | None:
        """Return the level from which it lasts that long so surely; None: not even from full."""
        need = driving + idle * self.assumed.idle_share
        chance = kernel(drops(self, need, uses))
        met = (self.weights.sum(axis=1)[:, None] * (chance.cumsum(axis=1) - chance / 2)).sum(axis=0)
        cell = int((met >= sure).argmax())
        return cell * STEP if met[cell] >= sure and cell * STEP <= 1 else None


def prior(usual: float, assumed: Assumed = USUAL, *, flat: bool = False) -> Belief:
    """Return what is believed of a battery of a type that usually drives so many minutes.

    `flat` gives every run time the same weight by its logarithm. Nothing is known of the level.
    """
    import numpy as np

    run = usual * np.geomspace(LEAST, MOST, ROWS)
    away = np.log(run / usual)
    healthy = bell(away / assumed.healthy_spread) / assumed.healthy_spread
    worn = bell((away - np.log(assumed.worn_gives)) / assumed.worn_spread) / assumed.worn_spread
    rows = (1 - assumed.worn_share) * healthy + assumed.worn_share * worn
    level = np.zeros(CELLS)
    level[BELOW:] = 1
    weights = np.outer(np.ones(ROWS) if flat else rows, level)
    return Belief(weights / weights.sum(), run, assumed, usual)


def with_weights(belief: Belief, weights: Grid) -> Belief:
    """Return a belief with other weights, made to add up to 1."""
    return replace(belief, weights=weights / weights.sum())


def settled(belief: Belief) -> Belief:
    """Return the belief with what is below empty at empty."""
    if not belief.weights[:, :BELOW].any():
        return belief
    weights = belief.weights.copy()
    weights[:, BELOW] += weights[:, :BELOW].sum(axis=1)
    weights[:, :BELOW] = 0
    return replace(belief, weights=weights)


def drops(belief: Belief, minutes: float, uses: int = 1) -> Grid:
    """Return by how much each run time's level may drop while so many minutes are driven."""
    import numpy as np

    spread = belief.assumed.driving_spread / sqrt(uses)
    driven = minutes * np.exp(spread * points()[0])
    return driven[None, :] / belief.run_minutes[:, None]


def _range(values: Grid, weights: Grid) -> Range:
    import numpy as np

    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    low, middle, high = (
        float(values[order][min(int(np.searchsorted(reached, share)), len(order) - 1)])
        for share in (0.1, 0.5, 0.9)
    )
    return Range(low, middle, high)


def chance_worn(belief: Belief, need: float) -> float:
    """Return the chance that a full charge gives less than so many minutes."""
    import numpy as np

    return float(belief.weights.sum(axis=1)[np.asarray(belief.run_minutes) < need].sum())
