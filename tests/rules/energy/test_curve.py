"""Charge times against published runs of a battery model, and the curve's own arithmetic.

PyBaMM 26.10.1.1, from 20 % to a current of C/20 at 25 °C, two cells by two models, constant
currents of 0.5, 0.8 and 1 charge an hour (Chen2020 is an NMC cell, Ai2020 an LCO cell). Minutes;
capacity is what the same cells gave at 0.2 charges an hour (5.117 and 5.381 hours).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.energy.curve import Curve, fitted, of_full_charge

RUNS = {
    "Chen2020, single particle": (1.0234, 86.2, {0.5: 118.5, 0.8: 88.5, 1.0: 79.4}),
    "Chen2020, full order": (1.0234, 81.2, {0.5: 122.0, 0.8: 95.4, 1.0: 88.1}),
    "Ai2020, single particle": (1.0762, 97.5, {0.5: 112.0, 0.8: 76.1, 1.0: 64.7}),
    "Ai2020, full order": (1.0762, 93.9, {0.5: 116.3, 0.8: 82.8, 1.0: 72.6}),
}
CC_MINUTES = {
    "Chen2020, single particle": {0.8: 49.4, 1.0: 36.8},
    "Chen2020, full order": {0.8: 41.1, 1.0: 30.1},
}


@pytest.mark.parametrize("cell", RUNS)
def test_a_curve_fitted_to_one_speed_foretells_the_others_within_four_percent(cell: str) -> None:
    capacity, steady, totals = RUNS[cell]
    curve = fitted(0.5, 0.2, totals[0.5], steady, capacity)
    for rate, total in totals.items():
        assert curve.at(rate).minutes(0.2) == pytest.approx(total, rel=0.04)
    for rate, minutes in CC_MINUTES.get(cell, {}).items():
        faster = curve.at(rate)
        assert faster.minutes(0.2, faster.knee) == pytest.approx(minutes, rel=0.10)


def test_the_slow_end_is_as_long_wherever_the_charge_began() -> None:
    """PyBaMM, Chen2020, 0.5 C from 0, 20 and 50 %: 143.2, 118.5, 81.4 min, 32.2 to 32.3 slow."""
    curve = fitted(0.5, 0.2, 118.5, 86.2, 1.0234)
    for start, total in {0.0: 143.2, 0.2: 118.5, 0.5: 81.4}.items():
        assert curve.minutes(start) == pytest.approx(total, rel=0.01)
        slow = curve.minutes(start) - curve.minutes(start, curve.knee)
        assert slow == pytest.approx(32.3, abs=0.1)


levels = st.floats(0, 1)


@given(start=levels, end=levels, full=st.floats(30, 400))
def test_a_level_is_reached_in_just_the_minutes_that_were_foretold(
    start: float, end: float, full: float
) -> None:
    curve = of_full_charge(full)
    low, high = min(start, end), max(start, end)
    assert curve.level_after(low, curve.minutes(low, high)) == pytest.approx(high, abs=1e-6)
    assert curve.minutes(high, low) == 0


def test_the_last_part_takes_longer_than_its_share() -> None:
    curve = of_full_charge(150)
    assert curve.minutes(0, 1) == pytest.approx(150)
    assert curve.minutes(0.9, 1) > 2 * curve.minutes(0.4, 0.5)
    assert isinstance(curve, Curve)
