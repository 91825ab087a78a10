"""A few terms of clubs whose batteries have a truth that the bot can't see (tests.bench.energy)."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clubbot.rules.energy.filling import towards_full
from clubbot.rules.energy.needs import Task
from clubbot.rules.energy.plan import charge_plan
from clubbot.rules.model import KitId, Window
from tests.bench.energy import TUNING
from tests.bench.energy_club import MONDAY, World
from tests.bench.energy_report import wilson
from tests.bench.energy_year import Club, Habit


def _term(seed: int, habit: Habit, *, tested: bool = False, weak: float = 0.05) -> Club:
    club = Club(seed, habit, World(weak_share=weak), 0)
    club.term(MONDAY, tested=tested)
    return club


def test_charging_what_is_asked_for_spoils_less_than_charging_what_shows_low() -> None:
    bot, low = (_term(TUNING, habit).tally for habit in ("bot", "low"))
    assert bot.uses == low.uses > 200
    assert bot.spoiled / bot.ready < 0.03 < (low.spoiled + low.revealed) / low.uses
    assert bot.accused == 0


def test_a_test_day_finds_every_weak_battery_and_accuses_no_healthy_one() -> None:
    club = _term(TUNING + 1, "bot", tested=True, weak=0.3)
    assert club.tally.weak >= 2
    assert club.tally.accused == 0
    assert not any(cell.weak for cell in club.cells)


def test_the_interval_of_a_share_is_wilsons() -> None:
    """Newcombe 1998, Statistics in Medicine 17:857, table I (from memory): 81 of 263, 15 of 148."""
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert wilson(15, 148) == pytest.approx((0.0624, 0.1605), abs=5e-5)


def test_spare_time_goes_towards_full_and_takes_nothing_from_anybody() -> None:
    hours = [Window(MONDAY + timedelta(hours=h), MONDAY + timedelta(hours=h + 3)) for h in (9, 33)]
    tasks = [
        Task(KitId(n), 25 + 10 * n, Window(MONDAY, MONDAY + timedelta(days=2)), more=30 * n)
        for n in range(6)
    ]
    plan = charge_plan(tasks, hours, 2, seconds=0)
    longer = towards_full(plan, tasks, hours)
    assert len(longer.stretches) == len(plan.stretches)
    gained = 0.0
    for before, after in zip(plan.stretches, longer.stretches, strict=True):
        assert (after.kit, after.bay, after.window.start) == (
            before.kit,
            before.bay,
            before.window.start,
        )
        more = (after.window.end - before.window.end) / timedelta(minutes=1)
        assert 0 <= more <= tasks[int(after.kit)].more
        assert any(
            span.start <= after.window.start < after.window.end <= span.end for span in hours
        )
        gained += more
    for one in longer.stretches:
        for other in longer.stretches:
            assert one is other or one.bay != other.bay or not one.window.overlaps(other.window)
    assert gained > 0
