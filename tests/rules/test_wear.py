"""Wear against published numbers, and how often a healthy fleet is accused."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.model import KitId
from clubbot.rules.wear import Comparison, Failing, Use, look
from clubbot.rules.wear.rates import accused, bounds, excess, growth_statistic, worsening

START = datetime(2026, 9, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("count", "hours", "confidence", "low", "high"),
    [
        # NIST/SEMATECH e-Handbook, section 8.4.5.1: 2 failures in 800 hours.
        (2, 800, 0.90, 127.0690, 2251.229),
        # The same section's table of factors on hours per failure (its cells from memory).
        (1, 1, 0.90, 0.2108, 19.4957),
        (3, 3, 0.90, 0.3869, 3.6689),
        (10, 10, 0.90, 0.5895, 1.8432),
        (2, 2, 0.80, 0.3758, 3.7607),
        (10, 10, 0.95, 0.5438, 2.0853),
    ],
)
def test_bounds_on_the_time_between_failures_are_the_handbooks(
    count: int, hours: float, confidence: float, low: float, high: float
) -> None:
    least, most = bounds(count, hours, confidence)
    assert 1 / most == pytest.approx(low, rel=3e-4)
    assert 1 / least == pytest.approx(high, rel=3e-4)


def test_bounds_on_a_rate_are_those_of_a_known_example() -> None:
    # R, stats::poisson.test, first example of its help page (values from memory).
    assert bounds(137, 24.19893, 0.95) == pytest.approx((4.753125, 6.692709), abs=2e-6)


def test_without_failures_there_is_still_an_upper_bound() -> None:
    # One-sided at 95 %, as the handbook's zero-failure rule: hours / -log(0.05).
    low, high = bounds(0, 800, 0.90)
    assert low == 0
    assert 1 / high == pytest.approx(800 / -log(0.05))


def test_one_against_the_others_is_the_exact_conditional_test() -> None:
    # R, stats::poisson.test, second example of its help page: 11 in 800 against 21 in 3011, ratio
    # of rates between 0.8584264 and 4.277266 at 95 % (values from memory).
    assert excess(11, 800, 21, 3011, times=0.8584264) == pytest.approx(0.025, abs=1e-6)
    assert 1 - excess(12, 800, 20, 3011, times=4.277266) == pytest.approx(0.025, abs=1e-6)


def test_a_trend_has_the_published_statistic() -> None:
    # NIST/SEMATECH e-Handbook, section 8.2.3.4: ten repairs in 1500 hours (37.23 from memory).
    times = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
    assert growth_statistic(times, 1500) == pytest.approx(37.228, abs=1e-3)
    assert worsening(times, 1500) == pytest.approx(0.98901, abs=1e-5)


@given(st.lists(st.floats(0, 1), max_size=12), st.floats(0.001, 0.2))
def test_who_is_accused_among_many_would_be_alone_too(chances: list[float], most: float) -> None:
    found = accused(chances, most)
    assert all(chances[place] <= most for place in found)
    assert all(
        place in found for place, chance in enumerate(chances) if chance * len(chances) <= most
    )


def _year(rng: random.Random, rates: list[float], terms: int = 3) -> list[set[int]]:
    """Play terms of 12 weeks with two sessions a week; return who is accused after each."""
    faults: list[list[Failing]] = [[] for _ in rates]
    hours = [0.0] * len(rates)
    found = []
    for term in range(terms):
        for week in range(24):
            for kit, rate in enumerate(rates):
                hours[kit] += 0.5
                if rng.random() < rate * 0.5:
                    at = START + timedelta(days=term * 120 + week * 3.5)
                    faults[kit].append(Failing("frozen", at, hours[kit]))
        uses = [
            Use(KitId(kit), 24 * (term + 1), hours[kit], tuple(faults[kit]))
            for kit in range(len(rates))
        ]
        seen = look(uses, START + timedelta(days=term * 120), under_warranty={}, repairs={})
        bad = (Comparison.WORSE, Comparison.WORSENING)
        found.append({int(each.kit) for each in seen if each.said in bad})
    return found


def test_a_healthy_fleet_is_seldom_accused_and_a_bad_kit_is_found() -> None:
    rng = random.Random(7)
    healthy, bad = [0.1] * 12, [0.6] + [0.1] * 11
    years = 50
    wrong = sum(any(_year(rng, healthy)) for _ in range(years))
    right = sum(0 in set().union(*_year(rng, bad)) for _ in range(16))
    # Under 5 % of years is aimed at; 7 of 50 would be there by chance once in a hundred.
    assert wrong <= 6
    assert right >= 11


def test_the_same_fault_three_times_in_a_term_wants_a_look_whatever_the_numbers_say() -> None:
    faults = tuple(Failing("will-not-connect", START + timedelta(days=n), 1.0) for n in range(3))
    uses = [Use(KitId(1), 20, 10.0, faults), Use(KitId(2), 20, 10.0, faults[:2])]
    first, second = look(uses, START, under_warranty={}, repairs={})
    assert (first.again, str(first.advice)) == ("will-not-connect", "look properly")
    assert (second.again, str(second.advice)) == ("", "keep")
