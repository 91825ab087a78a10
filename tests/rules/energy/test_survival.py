"""How many run how long, some still running when it was ended: published figures, and by count."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.energy.survival import (
    HALF,
    NINE_IN_TEN,
    FleetRuns,
    RunTime,
    fleet_runs,
    reached_by,
    survival,
)

SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
"""Weeks in remission under 6-mercaptopurine, + where it lasted still: Freireich and others, Blood
21, 1963; Gehan, Biometrika 52, 1965."""


def _runs(text: str) -> list[RunTime]:
    return [RunTime(int(word.rstrip("+")), not word.endswith("+")) for word in text.split()]


def test_the_curve_is_the_published_one_of_a_trial_with_patients_still_in_remission() -> None:
    """Shares and Greenwood's errors as in Klein and Moeschberger, Survival Analysis, 2003, table
    4.1 (from memory), which lifelines 0.30.3 gives as well."""
    steps = survival(_runs(SIX_MP))
    assert [each.minutes for each in steps] == [6, 7, 10, 13, 16, 22, 23]
    assert [each.at_risk for each in steps] == [21, 17, 15, 12, 11, 7, 6]
    shares = [0.857143, 0.806723, 0.752941, 0.690196, 0.627451, 0.537815, 0.448179]
    assert [each.share for each in steps] == pytest.approx(shares, abs=1e-6)
    errors = [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346]
    assert [each.error for each in steps] == pytest.approx(errors, abs=5e-5)
    half = reached_by(steps, HALF)
    assert half is not None
    assert half.minutes == 23
    assert fleet_runs(_runs(SIX_MP)) == FleetRuns(23, 6)


@given(st.lists(st.integers(1, 40), min_size=1, max_size=30))
def test_where_all_have_stopped_it_is_a_plain_count(minutes: list[int]) -> None:
    steps = survival(RunTime(each) for each in minutes)
    assert steps[-1].share == 0
    for step in steps:
        longer = sum(each > step.minutes for each in minutes) / len(minutes)
        assert step.share == pytest.approx(longer)
        assert step.error == pytest.approx(sqrt(longer * (1 - longer) / len(minutes)), abs=1e-9)
    for share in (HALF, NINE_IN_TEN):
        step = reached_by(steps, share) or steps[-1]
        at_least = [each for each in minutes if each >= step.minutes]
        assert len(at_least) >= share * len(minutes)


@given(st.lists(st.tuples(st.integers(1, 40), st.booleans()), min_size=1, max_size=30))
def test_what_ran_on_has_its_share_go_to_those_that_were_seen_to_run_longer(
    told: list[tuple[int, bool]],
) -> None:
    """Efron's redistribution to the right (Proc. Fifth Berkeley Symposium, 1967) is the same
    curve, found another way."""
    runs = sorted(told, key=lambda each: (each[0], not each[1]))
    mass = [1 / len(runs)] * len(runs)
    for place, (_, ended) in enumerate(runs):
        if not ended and place + 1 < len(runs):
            given_on = mass[place] / (len(runs) - place - 1)
            mass[place] = 0.0
            for later in range(place + 1, len(runs)):
                mass[later] += given_on
    for step in survival(RunTime(*each) for each in told):
        gone = sum(
            m for m, (at, ended) in zip(mass, runs, strict=True) if ended and at <= step.minutes
        )
        assert step.share == pytest.approx(1 - gone)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", FleetRuns(None, None)),
        ("60 70 80", FleetRuns(None, None)),
        ("95+ 95+ 95+ 95+ 95+ 95+ 95+ 95+ 95+ 95+", FleetRuns(None, None)),
        ("85 90 95+ 95+ 95+ 95+ 95+ 95+ 95+ 95+", FleetRuns(None, 85)),
        ("85 100 102 110 112 118 119 120 121 122 125 126", FleetRuns(118, 100)),
        ("50 60 70 80 90 100 110 120", FleetRuns(80, None)),
    ],
)
def test_what_the_runs_do_not_tell_is_not_said(text: str, said: FleetRuns) -> None:
    assert fleet_runs(_runs(text)) == said
