"""What is assumed of batteries and of what people say about them, each with where it is from."""

from __future__ import annotations

from dataclasses import dataclass

SURE = 0.9
"""What "lasts" means: nine times in ten."""
AIM = 0.95
"""What charges are planned for, where a full one gives it: were every use only just to last nine
times in ten, too many would be spoiled. `tests.bench.energy` measures what comes of it."""
HOPE = 0.3
"""With less chance than this of lasting a use from full, a battery isn't charged for it."""


@dataclass(frozen=True, slots=True)
class Assumed:
    """Spreads are standard deviations of logarithms unless said otherwise; shares are 0 to 1.

    Common practice, no source, where none is named:

    - `healthy_spread`: between healthy batteries of one type; `worn_share` of all are worn, and
      give `worn_gives` of the usual run time, spread by `worn_spread`.
    - `driving_spread`: between the driving that was noted or planned and what was driven.
    - `idle_share`: what a minute on without driving takes, of a minute of driving.
    - `rest_per_day`, `rest_spread`: share of a full charge lost at rest. Cells alone lose 2 to
      3 % a month at room temperature (D. Darling's encyclopaedia); what the electronics draw when
      off about doubles that.
    - `fade`, `fade_spread`: share of the run time that each full cycle takes, and its standard
      deviation between batteries. A fifth is lost over about 400 cycles: 300 to 500 of full depth
      is what I. Buchmann gives (Batteries in a Portable World, at second hand); the fifth and the
      spread are common practice, no source.
    - `flat_within`: how far from empty, in level, a unit switches itself off.
    - `bars_spread`, `told_spread`: of a level read off bars, or off a percentage, in level.
    - `test_spread`: of a run-time test from a full charge to its end.
    - `junk`: share of what is said that says nothing about the battery; `test_junk`: of tests.
    - `not_charged`: share of charges noted that did not happen: not plugged in, socket off.
    - `unnoted`: share of sights of a level before which something happened that nobody noted (it
      was charged, or not or not to full, left on, used): then it may be any level. It is more than
      `junk`, so that what somebody sees counts for more than what was noted before.
    """

    healthy_spread: float = 0.10
    worn_share: float = 0.05
    worn_gives: float = 0.4
    worn_spread: float = 0.4
    driving_spread: float = 0.15
    idle_share: float = 0.03
    rest_per_day: float = 0.05 / 30
    rest_spread: float = 0.5
    fade: float = 0.2 / 400
    fade_spread: float = 0.1 / 400
    flat_within: float = 0.03
    bars_spread: float = 0.175
    told_spread: float = 0.08
    test_spread: float = 0.03
    junk: float = 0.05
    test_junk: float = 0.01
    not_charged: float = 0.005
    unnoted: float = 0.1


USUAL = Assumed()

TABLET = Assumed(
    healthy_spread=0.2,
    driving_spread=0.25,
    rest_per_day=0.02,
    rest_spread=0.7,
    told_spread=0.03,
    not_charged=0.03,
)
"""Of tablets, whose level stands on the screen; common practice, no source: asleep and not off
they lose about a fiftieth a day."""
