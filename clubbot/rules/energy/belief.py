"""What is believed of one battery: how long a full charge lasts, and how full it is now.

A joint belief on a grid of run time (in minutes of driving) by level. What happens moves the
level, by more the less the run time is; what is said weighs the cells by how likely it was to be
said there (Bayes), always mixed with the share of what is said in vain. Below empty the level runs
on while a unit is driven, so that "ran flat just now" and "still running" mean what they say; once
nobody says anything, whatever is below empty is empty.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import sqrt
from typing import TYPE_CHECKING

from clubbot.rules.energy.assumed import SURE, USUAL, Assumed
from clubbot.rules.energy.curve import Curve
from clubbot.rules.energy.events import (
    Charged,
    Drove,
    Event,
    FoundFlat,
    OnCharger,
    RanFlat,
    Rested,
    RunTimeTest,
    Showed,
    StillRunning,
)
from clubbot.rules.energy.grid import (
    BELOW,
    CELLS,
    POINTS,
    ROWS,
    STEP,
    bell,
    cell_levels,
    kernel,
    lowered,
    points,
)

if TYPE_CHECKING:
    from clubbot.rules.energy.grid import Grid

LEAST, MOST = 0.18, 1.8
"""The run times looked at, as shares of the usual one."""


@dataclass(frozen=True, slots=True)
class Range:
    """The middle of a belief, and the bounds that it lies between four times in five."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Belief:
    """The weight of each cell, run times down and levels across; all weights add up to 1."""

    weights: Grid
    run_minutes: Grid
    assumed: Assumed

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
        chance = kernel(_drops(self, need, uses))
        lower = chance.cumsum(axis=1) - chance / 2
        settled = _settled(self).weights[:, BELOW:]
        return float((settled * lower[:, : settled.shape[1]]).sum())

    def level_for(
        self, driving: float, idle: float = 0.0, uses: int = 1, sure: float = SURE
    ) -> float | None:
        """Return the level from which it lasts that long so surely; None: not even from full."""
        need = driving + idle * self.assumed.idle_share
        chance = kernel(_drops(self, need, uses))
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
    return Belief(weights / weights.sum(), run, assumed)


def after(belief: Belief, events: Iterable[Event]) -> Belief:
    """Return what is believed after these events, in the order in which they happened."""
    for event in events:
        belief = _step(belief, event)
    return _settled(belief)


def _step(belief: Belief, event: Event) -> Belief:
    junk = belief.assumed.junk
    match event:
        case Drove():
            need = event.minutes + event.idle * belief.assumed.idle_share
            start = _settled(belief)
            return _with(start, lowered(start.weights, _drops(start, need)))
        case Rested():
            start = _settled(belief)
            return _with(start, lowered(start.weights, _rest_drops(start, event.days)))
        case Charged():
            if event.seen is not None:
                belief = _weighed(belief, _near(event.seen, belief.assumed.told_spread), junk)
            return _charged(_settled(belief), event, belief.assumed.not_charged)
        case OnCharger():
            return _on_charger(_settled(belief), event)
        case RunTimeTest():
            return _tested(belief, event)
        case RanFlat():
            return _ran_flat(belief, event)
        case StillRunning():
            return _settled(_weighed(belief, _running(), junk, said_anyway=0.5))
        case Showed():
            spread = belief.assumed.bars_spread if event.bars else belief.assumed.told_spread
            return _weighed(_settled(belief), _near(event.level, spread), junk)
        case FoundFlat():
            return _emptied(belief)


def _with(belief: Belief, weights: Grid) -> Belief:
    return Belief(weights / weights.sum(), belief.run_minutes, belief.assumed)


def _settled(belief: Belief) -> Belief:
    """Return the belief with what is below empty at empty."""
    if not belief.weights[:, :BELOW].any():
        return belief
    weights = belief.weights.copy()
    weights[:, BELOW] += weights[:, :BELOW].sum(axis=1)
    weights[:, :BELOW] = 0
    return Belief(weights, belief.run_minutes, belief.assumed)


def _emptied(belief: Belief) -> Belief:
    weights = belief.weights * 0
    weights[:, BELOW] = belief.weights.sum(axis=1)
    return Belief(weights, belief.run_minutes, belief.assumed)


def _drops(belief: Belief, minutes: float, uses: int = 1) -> Grid:
    import numpy as np

    spread = belief.assumed.driving_spread / sqrt(uses)
    driven = minutes * np.exp(spread * points()[0])
    return driven[None, :] / belief.run_minutes[:, None]


def _rest_drops(belief: Belief, days: float) -> Grid:
    import numpy as np

    lost = belief.assumed.rest_per_day * days * np.exp(belief.assumed.rest_spread * points()[0])
    return np.broadcast_to(lost, (ROWS, POINTS))


def _near(level: float, spread: float) -> Grid:
    return bell((cell_levels().clip(0.0) - level) / spread)


def _running() -> Grid:
    levels = cell_levels()
    running: Grid = (levels > 0) + 0.5 * (levels == 0)
    return running


def _weighed(belief: Belief, says: Grid, junk: float, said_anyway: float | None = None) -> Belief:
    """Weigh the levels by how likely it was to be said there, or to be said anyway.

    What is said in vain is as likely to be said at any level from empty to full.
    """
    anyway = float(says[BELOW:].mean()) if said_anyway is None else said_anyway
    return _with(belief, belief.weights * ((1 - junk) * says + junk * anyway))


def _charged(belief: Belief, event: Charged, not_charged: float) -> Belief:
    weights = belief.weights * not_charged
    to = BELOW + round(min(max(event.to, 0.0), 1.0) / STEP)
    weights[:, to] += (1 - not_charged) * belief.weights.sum(axis=1)
    return Belief(weights, belief.run_minutes, belief.assumed)


def _on_charger(belief: Belief, event: OnCharger) -> Belief:
    """Raise every level by what the minutes make of it, where the charger had a current."""
    import numpy as np

    levels, moments = cell_levels()[BELOW:], _moments(event.curve)
    usual = belief.run_minutes[0] / LEAST
    minutes = event.minutes * usual / belief.run_minutes
    to = np.interp(moments[None, :] + minutes[:, None], moments, levels) / STEP
    below = np.minimum(to.astype(int), len(levels) - 2)
    share = to - below
    at = below + np.arange(ROWS)[:, None] * len(levels)
    start = belief.weights[:, BELOW:]
    raised = np.bincount(
        np.concatenate([at.ravel(), at.ravel() + 1]),
        np.concatenate([((1 - share) * start).ravel(), (share * start).ravel()]),
        minlength=start.size,
    )
    failed = belief.assumed.not_charged
    weights = belief.weights * failed
    weights[:, BELOW:] += (1 - failed) * raised.reshape(start.shape)
    return Belief(weights, belief.run_minutes, belief.assumed)


@cache
def _moments(curve: Curve) -> Grid:
    """Return how long a charge takes from empty to each level."""
    import numpy as np

    return np.array([curve.minutes(0.0, float(level)) for level in cell_levels()[BELOW:]])


def _tested(belief: Belief, event: RunTimeTest) -> Belief:
    import numpy as np

    junk = belief.assumed.test_junk
    says = bell(np.log(belief.run_minutes / event.minutes) / belief.assumed.test_spread)
    mixed = (1 - junk) * says + junk * says.mean()
    return _emptied(_with(belief, belief.weights * mixed[:, None]))


def _ran_flat(belief: Belief, event: RanFlat) -> Belief:
    """Mix what a battery that ran flat says with what any other cause of stopping says."""
    sure = event.sure * (1 - belief.assumed.junk)
    levels = cell_levels()
    says = bell(levels / belief.assumed.flat_within)
    empty = belief.weights * (sure * says)
    on = _running() if event.else_ran else _running() * 0 + 1
    other = _settled(_with(belief, belief.weights * (on + 1e-12))).weights
    share = (1 - sure) * float(says[BELOW:].mean()) * float((belief.weights * on).sum())
    now_empty = empty * 0
    now_empty[:, BELOW] = empty.sum(axis=1)
    return _with(belief, now_empty + share * other)


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
