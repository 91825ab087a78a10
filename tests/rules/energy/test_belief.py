"""What is believed of a battery after what was said of it, against a reference and by example."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.energy.assumed import SURE, USUAL
from clubbot.rules.energy.belief import Belief, after, chance_worn, prior
from clubbot.rules.energy.curve import of_full_charge
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

FULL = after(prior(120), [Charged()])


def _told(*events: Event) -> Belief:
    return after(prior(120), events)


def _most_likely(belief: Belief) -> float:
    """Return the run time of the greatest weight, between the grid's rows by a parabola."""
    rows = belief.weights.sum(axis=1)
    top = int(rows.argmax())
    left, middle, right = (log(float(rows[at])) for at in (top - 1, top, top + 1))
    shift = (left - right) / (2 * (left - 2 * middle + right))
    low, high = (log(float(belief.run_minutes[at])) for at in (top, top + 1))
    return exp(low + shift * (high - low))


def test_runs_that_ended_early_teach_what_a_log_normal_fit_to_censored_times_says() -> None:
    """Times that ended 47 56 77 80 81, and were cut off at 37 43 60 62 71 (Conover, Practical
    Nonparametric Statistics, p. 91), against lifelines' maximum likelihood with its own spread."""
    ended, cut_off = (47, 56, 77, 80, 81), (37, 43, 60, 62, 71)
    # What LogNormalFitter of lifelines 0.30.3 makes of them; it isn't needed to run this.
    mu, sigma = 4.269244897659142, 0.2177422712509872
    plain = replace(USUAL, driving_spread=sigma, junk=0.0, not_charged=0.0, idle_share=0.0)
    events: list[Event] = []
    for minutes in ended:
        events += [Charged(), Drove(minutes), RanFlat()]
    for minutes in cut_off:
        events += [Charged(), Drove(minutes), StillRunning()]
    found = _most_likely(after(prior(100, plain, flat=True), events))
    assert found == pytest.approx(exp(mu), rel=0.01)


def test_three_usual_sessions_fit_into_one_full_charge_and_four_do_not() -> None:
    """90 minutes with half an hour of driving each: common practice, no published source."""
    chances = [FULL.lasts(30 * uses, 60 * uses, uses) for uses in (1, 2, 3, 4)]
    assert chances[2] >= SURE
    assert chances[3] < 0.5
    assert chances == sorted(chances, reverse=True)


def test_a_battery_that_nobody_spoke_of_gives_about_two_hours() -> None:
    run = prior(120).run_time
    assert 100 < run.low < run.middle < run.high < 140
    assert run.middle == pytest.approx(120, rel=0.03)


def test_a_run_time_test_says_almost_all_there_is_to_know() -> None:
    run = _told(Charged(), RunTimeTest(104)).run_time
    assert 98 < run.low < run.high < 110
    assert _told(Charged(), RunTimeTest(104)).level.high == 0


def test_a_test_cut_off_while_it_ran_rules_out_what_gives_less_and_leaves_the_rest() -> None:
    """Beside the prior's own weights above the cut: with no spread of a test and nothing said in
    vain, a right-censored time leaves just those (Bayes)."""
    sharp = replace(USUAL, test_spread=1e-6, test_junk=0.0)
    fresh = prior(120, sharp)
    told = after(fresh, [Charged(), RunTimeTest(125, stopped=False)])
    above = [run > 125 for run in fresh.run_minutes]
    whole = fresh.weights.sum(axis=1) * above
    assert told.weights.sum(axis=1) == pytest.approx(whole / whole.sum(), abs=1e-9)
    assert chance_worn(told, 125) == pytest.approx(0, abs=1e-9)
    assert 0 <= told.level.low < told.level.high < 0.2


def test_a_short_test_cut_off_says_nearly_nothing_and_an_early_end_says_much() -> None:
    early = _told(Charged(), RunTimeTest(50, stopped=False))
    assert early.run_time.middle == pytest.approx(FULL.run_time.middle, rel=0.02)
    assert early.level.middle == pytest.approx(1 - 50 / 120, abs=0.05)
    assert chance_worn(early, 45) < chance_worn(FULL, 45) / 3
    late = _told(Charged(), RunTimeTest(128, stopped=False))
    assert late.run_time.low > 125
    assert late.level.high < 0.15


def test_one_early_end_makes_a_doubt_and_three_make_it_almost_certain() -> None:
    def doubt(times: int) -> float:
        return chance_worn(_told(*[Charged(), Drove(40), RanFlat()] * times), 80)

    assert doubt(0) < 0.06
    assert 0.3 < doubt(1) < 0.7
    assert doubt(3) > 0.99


def test_a_loose_battery_does_not_lower_what_the_battery_is_thought_to_give() -> None:
    told = _told(*[Charged(), Drove(40), RanFlat(sure=0.0)] * 3)
    assert told.run_time.low >= FULL.run_time.low
    assert told.run_time.middle == FULL.run_time.middle
    assert told.level.middle > 0.5


def test_found_flat_at_the_start_empties_the_battery_and_accuses_it_of_nothing() -> None:
    told = _told(*[Charged(), FoundFlat()] * 5)
    assert told.level.high == 0
    assert told.run_time == FULL.run_time


def test_silence_says_nothing_and_still_running_says_a_little() -> None:
    silent = _told(*[Charged(), Drove(110)] * 4, Charged())
    running = _told(*[Charged(), Drove(110), StillRunning()] * 4, Charged())
    assert silent.run_time.middle == FULL.run_time.middle
    assert running.run_time.middle > FULL.run_time.middle
    assert chance_worn(running, 80) < chance_worn(silent, 80) / 10


def test_two_bars_narrow_the_level_and_a_percentage_narrows_it_more() -> None:
    def width(*events: Event) -> float:
        level = _told(*events).level
        return level.high - level.low

    assert width(Showed(0.4)) < width(Showed(0.4, bars=True)) < width()
    assert _told(Showed(0.4)).level.middle == pytest.approx(0.4, abs=0.05)


def test_rest_loses_about_a_twentieth_a_month() -> None:
    told = _told(Charged(), Rested(60))
    assert told.level.middle == pytest.approx(0.9, abs=0.03)
    assert told.level.low < told.level.high


def test_driving_takes_from_the_level_what_the_run_time_says() -> None:
    told = _told(Charged(), Drove(55))
    assert told.level.middle == pytest.approx(1 - 55 / 120, abs=0.04)
    assert told.left.middle == pytest.approx(65, abs=6)
    assert told.left.low < told.left.middle < told.left.high


def _tested_then(cycles: int, minutes: float = 60.0) -> Belief:
    """Return what is believed of one that ran for 110 minutes, then half of each charge, often."""
    per_cycle = round(FULL.usual / minutes)
    use: list[Event] = [Charged(), Drove(minutes)]
    return _told(Charged(), RunTimeTest(110), *use * per_cycle * cycles, Charged())


def _logs(belief: Belief) -> tuple[float, float]:
    """Return the mean and the standard deviation of the run time's logarithm."""
    rows, run = belief.weights.sum(axis=1), np.log(belief.run_minutes)
    mean = float(rows @ run)
    return mean, float(np.sqrt(rows @ (run - mean) ** 2))


def test_a_battery_gives_less_and_less_surely_so_with_each_full_cycle_since_its_test() -> None:
    """A fifth is lost over 300 to 500 full cycles, so a hundred take about a twentieth."""
    fresh, few, hundred = (_tested_then(cycles) for cycles in (0, 4, 100))
    assert few.run_time == fresh.run_time
    (at_first, spread), (later, wider) = _logs(fresh), _logs(hundred)
    assert later - at_first == pytest.approx(-0.05, abs=0.001)
    assert wider**2 - spread**2 == pytest.approx((100 * USUAL.fade_spread) ** 2, rel=0.02)
    assert hundred.run_time.low < 0.96 * fresh.run_time.low
    again = _told(Charged(), RunTimeTest(110), Cycled(100 * 120), Charged(), RunTimeTest(104))
    assert again.cycles == 0
    assert again.run_time.middle == pytest.approx(104, rel=0.03)


def test_over_four_hundred_full_cycles_a_fifth_is_lost_and_nine_in_ten_lose_less_than_a_third() -> (
    None
):
    told = _told(Charged(), RunTimeTest(110), Cycled(400 * 120), Charged())
    start = _told(Charged(), RunTimeTest(110), Charged())
    assert told.run_time.middle / start.run_time.middle == pytest.approx(0.82, abs=0.02)
    assert told.run_time.low / start.run_time.middle > 2 / 3
    assert told.weights.sum() == pytest.approx(1)


@given(st.lists(st.floats(1, 400), min_size=1, max_size=12))
def test_ageing_is_the_same_however_the_cycles_are_cut_up(minutes: list[float]) -> None:
    """But for what hasn't come to five full cycles yet, which is worked in later."""
    tested = _told(Charged(), RunTimeTest(110))
    uses = [Cycled(20 * each) for each in minutes]
    parts = after(tested, uses)
    whole = after(tested, [Cycled(120 * parts.aged)])
    assert whole.aged == pytest.approx(parts.aged)
    assert whole.run_time.middle == pytest.approx(parts.run_time.middle, rel=1e-6)
    assert _logs(parts) == pytest.approx(_logs(whole), rel=1e-6)


minutes, shares = st.floats(1, 5_000), st.floats(0, 1)
anything = st.one_of(
    st.builds(Drove, minutes, minutes),
    st.builds(Cycled, minutes, minutes),
    st.builds(Rested, st.floats(0, 2_000)),
    st.builds(Charged, shares, st.none() | shares),
    st.builds(OnCharger, minutes, st.just(of_full_charge(150))),
    st.builds(RunTimeTest, minutes, st.booleans()),
    st.builds(RanFlat, shares, st.booleans()),
    st.just(StillRunning()),
    st.builds(Showed, shares, st.booleans()),
    st.just(FoundFlat()),
)


@given(st.lists(anything, max_size=8))
def test_whatever_happens_and_is_said_something_is_believed(events: list[Event]) -> None:
    told = _told(*events)
    assert told.weights.sum() == pytest.approx(1)
    assert told.weights.min() >= 0
    for each in (told.run_time, told.level, told.left):
        assert 0 <= each.low <= each.middle <= each.high


@pytest.mark.parametrize("minutes", [1, 5, 15])
def test_one_that_ran_for_less_than_is_looked_at_is_weak_and_never_good(minutes: int) -> None:
    told = _told(Charged(), RunTimeTest(minutes))
    assert chance_worn(told, 59) > 0.6
    assert told.run_time.middle < 25
