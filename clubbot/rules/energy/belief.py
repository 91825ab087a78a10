"""What is believed of one battery: how long a full charge lasts, and how full it is now.

A joint belief on a grid of run time (in minutes of driving) by level. What happens moves the
level, by more the less the run time is; what is said weighs the cells by how likely it was to be
said there (Bayes), always mixed with the share of what is said in vain. Below empty the level runs
on while a unit is driven, so that "ran flat just now" and "still running" mean what they say; once
nobody says anything, whatever is below empty is empty.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from math import exp
from typing import TYPE_CHECKING

from clubbot.rules.energy.curve import Curve
from clubbot.rules.energy.events import (
    Charged,
    Cycled,
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
    ROW_STEP,
    ROWS,
    STEP,
    bell,
    bell_below,
    cell_levels,
    lowered,
    points,
    widened,
)
from clubbot.rules.energy.joint import (
    Belief,
    Range,
    chance_worn,
    drops,
    prior,
    settled,
    with_weights,
)

if TYPE_CHECKING:
    from clubbot.rules.energy.grid import Grid

_HARDLY = 1e-12
"""More than nothing, so that no belief vanishes where all that is left is impossible."""
_AT_ONCE = 5.0
"""Ageing is worked in when so many full cycles have gone by: fewer make no difference."""

__all__ = ["STEP", "Belief", "Range", "after", "chance_worn", "prior"]


def after(belief: Belief, events: Iterable[Event]) -> Belief:
    """Return what is believed after these events, in the order in which they happened."""
    for event in events:
        belief = _aged(_step(belief, event))
    return settled(belief)


def _step(belief: Belief, event: Event) -> Belief:
    junk = belief.assumed.junk
    match event:
        case Drove():
            need = _need(belief, event)
            start = _cycled(settled(belief), need)
            return with_weights(start, lowered(start.weights, drops(start, need)))
        case Cycled():
            return _cycled(belief, _need(belief, event))
        case Rested():
            start = settled(belief)
            return with_weights(start, lowered(start.weights, _rest_drops(start, event.days)))
        case Charged():
            if event.seen is not None:
                belief = _weighed(belief, _near(event.seen, belief.assumed.told_spread), junk)
            return _charged(settled(belief), event, belief.assumed.not_charged)
        case OnCharger():
            return _on_charger(settled(belief), event)
        case RunTimeTest():
            return _tested(belief, event)
        case RanFlat():
            return _ran_flat(belief, event)
        case StillRunning():
            return settled(_weighed(belief, _running(), junk, said_anyway=0.5))
        case Showed():
            spread = belief.assumed.bars_spread if event.bars else belief.assumed.told_spread
            says = _near(event.level, spread)
            return _weighed(_anywhere(settled(belief)), says, junk)
        case FoundFlat():
            return _emptied(belief)


def _need(belief: Belief, event: Drove | Cycled) -> float:
    return event.minutes + event.idle * belief.assumed.idle_share


def _cycled(belief: Belief, minutes: float) -> Belief:
    return replace(belief, cycles=belief.cycles + minutes / belief.usual)


def _aged(belief: Belief) -> Belief:
    """Return the belief with shorter run times, less surely known, once some cycles have gone by.

    How fast a battery ages stays its own: what isn't known of it adds up cycle by cycle, so the
    spread grows with the cycles and not with their root.
    """
    gone, told = belief.cycles, belief.aged
    if gone - told < _AT_ONCE:
        return belief
    shorter = exp(-belief.assumed.fade * (gone - told))
    variance = belief.assumed.fade_spread**2 * (gone**2 - told**2)
    return replace(
        belief,
        weights=widened(belief.weights, variance / ROW_STEP**2),
        run_minutes=belief.run_minutes * shorter,
        aged=gone,
    )


def _emptied(belief: Belief) -> Belief:
    weights = belief.weights * 0
    weights[:, BELOW] = belief.weights.sum(axis=1)
    return replace(belief, weights=weights)


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
    return with_weights(belief, belief.weights * ((1 - junk) * says + junk * anyway))


def _anywhere(belief: Belief) -> Belief:
    """Mix in that something happened which nobody noted: then it may have any level by now."""
    unnoted = belief.assumed.unnoted
    weights = belief.weights * (1 - unnoted)
    rows = belief.weights.sum(axis=1, keepdims=True)
    weights[:, BELOW:] += unnoted * rows / (CELLS - BELOW)
    return replace(belief, weights=weights)


def _charged(belief: Belief, event: Charged, not_charged: float) -> Belief:
    weights = belief.weights * not_charged
    to = BELOW + round(min(max(event.to, 0.0), 1.0) / STEP)
    weights[:, to] += (1 - not_charged) * belief.weights.sum(axis=1)
    return replace(belief, weights=weights)


def _on_charger(belief: Belief, event: OnCharger) -> Belief:
    """Raise every level by what the minutes make of it, where the charger had a current."""
    import numpy as np

    levels, moments = cell_levels()[BELOW:], _moments(event.curve)
    minutes = event.minutes * belief.usual / belief.run_minutes
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
    return replace(belief, weights=weights)


@cache
def _moments(curve: Curve) -> Grid:
    """Return how long a charge takes from empty to each level."""
    import numpy as np

    return np.array([curve.minutes(0.0, float(level)) for level in cell_levels()[BELOW:]])


def _tested(belief: Belief, event: RunTimeTest) -> Belief:
    import numpy as np

    junk = belief.assumed.test_junk
    # The grid's ends stand for all that lies beyond: a battery that gives less is as weak.
    minutes = np.clip(event.minutes, belief.run_minutes[0], belief.run_minutes[-1])
    away = np.log(belief.run_minutes / minutes) / belief.assumed.test_spread
    says = bell(away) if event.stopped else bell_below(away)
    mixed = (1 - junk) * says + junk * says.mean()
    tested = _emptied(with_weights(belief, belief.weights * mixed[:, None]))
    tested = replace(tested, cycles=0.0, aged=0.0)
    if event.stopped:
        return tested
    left = 1 - event.minutes / belief.run_minutes
    return _at_levels(tested, left)


def _at_levels(belief: Belief, levels: Grid) -> Belief:
    """Return the belief with one level for each run time, empty at the least."""
    import numpy as np

    weights = belief.weights * 0
    cells = BELOW + np.rint(levels.clip(0.0, 1.0) / STEP).astype(int)
    weights[np.arange(ROWS), cells] = belief.weights.sum(axis=1)
    return replace(belief, weights=weights)


def _ran_flat(belief: Belief, event: RanFlat) -> Belief:
    """Mix what a battery that ran flat says with what any other cause of stopping says."""
    sure = event.sure * (1 - belief.assumed.junk)
    levels = cell_levels()
    says = bell(levels / belief.assumed.flat_within)
    empty = belief.weights * (sure * says)
    on = (_running() if event.else_ran else _running() * 0 + 1) + _HARDLY
    other = settled(with_weights(belief, belief.weights * on)).weights
    share = (1 - sure) * float(says[BELOW:].mean()) * float((belief.weights * on).sum())
    now_empty = empty * 0
    now_empty[:, BELOW] = empty.sum(axis=1)
    return with_weights(belief, now_empty + share * other)
