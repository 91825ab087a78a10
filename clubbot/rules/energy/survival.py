"""How many of a fleet run how long, from run times of which some were cut off while they ran."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, sqrt

HALF, NINE_IN_TEN = 0.5, 0.9
_FEWEST = 10
"""Of fewer run times nobody speaks of nine in ten."""
_LOOSEST = 0.2
"""A share whose standard error is more than this is not said; common practice, no source."""


@dataclass(frozen=True, slots=True)
class RunTime:
    """Minutes from full until it stopped, or (not `ended`) after which it still ran."""

    minutes: int
    ended: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """From so many minutes on only a `share` of all still runs, known give or take `error`.

    `at_risk` still ran just before.
    """

    minutes: int
    at_risk: int
    share: float
    error: float


@dataclass(frozen=True, slots=True)
class FleetRuns:
    """What half of a fleet, and nine in ten of it, run at least, in minutes; None: not known."""

    half: int | None
    nine_in_ten: int | None


def survival(runs: Iterable[RunTime]) -> tuple[Step, ...]:
    """Return the survival curve, a step for each time at which any ended.

    The shares are the product-limit estimate (E. L. Kaplan and P. Meier, Journal of the American
    Statistical Association 53, 1958), the errors Greenwood's (The natural duration of cancer,
    1926). What was cut off at the very minute at which another ended ran longer than that.
    """
    told = list(runs)
    steps: list[Step] = []
    share, summed = 1.0, 0.0
    for minutes in sorted({each.minutes for each in told if each.ended}):
        at_risk = sum(each.minutes >= minutes for each in told)
        ended = sum(each.ended and each.minutes == minutes for each in told)
        share *= 1 - ended / at_risk
        summed += ended / (at_risk * (at_risk - ended)) if at_risk > ended else inf
        steps.append(Step(minutes, at_risk, share, share * sqrt(summed) if share else 0.0))
    return tuple(steps)


def reached_by(curve: Sequence[Step], share: float) -> Step | None:
    """Return the step up to which at least such a share runs; None where no run tells."""
    # Products of fractions miss a half or nine tenths by a rounding error.
    return next((step for step in curve if step.share <= share + 1e-9), None)


def fleet_runs(runs: Iterable[RunTime]) -> FleetRuns:
    """Return what half of a fleet and nine in ten run, where so many runs tell it well enough."""
    told = list(runs)
    curve = survival(told)
    half, most = (
        step.minutes if step is not None and step.error <= _LOOSEST else None
        for step in (reached_by(curve, HALF), reached_by(curve, NINE_IN_TEN))
    )
    return FleetRuns(half, most if len(told) >= _FEWEST else None)
