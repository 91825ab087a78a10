"""A weak battery is booked for what it gives: the plan of bookings follows what is known of it."""

from __future__ import annotations

import pytest

from clubbot.desk import battery, booking, charging, fitting, handover, lots
from clubbot.desk.budgets import SURE_SHARE
from clubbot.rules.energy.belief import prior
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import Booked, LotDone
from tests.desk.scene import Club

TIMES = ("Fri 15:30-17:00", "Sat 10:00-11:30", "Sun 10:00-11:30")


@pytest.fixture
def weekly(club: Club) -> Club:
    """The club charges every kit on Thursdays for sure."""
    club.settings(charge_days=(3,))
    club.set("2026-10-02 09:00")
    club.leader(charging.charged, "A B C D E F")
    club.later(hours=1)
    return club


def _booked(club: Club, label: str) -> int:
    """Return how many of three sessions before the next charge a kit can be booked for."""
    found = [club.leader(booking.request, f"kit {label} for Red {at}") for at in TIMES]
    return sum(isinstance(each, Booked) for each in found)


def _test(club: Club, label: str, minutes: int) -> None:
    club.leader(battery.say_of_battery, f"{label} test {minutes}")
    club.leader(charging.charged, label)
    club.later(minutes=5)


def test_what_is_said_to_be_sure_of_a_new_battery_is_what_its_prior_says() -> None:
    assert prior(120).run_time.low == pytest.approx(SURE_SHARE * 120, rel=0.03)


def test_a_tested_weak_battery_is_booked_less_often_than_one_of_its_type(weekly: Club) -> None:
    _test(weekly, "A", 50)
    assert weekly.stands("A").kit.gives in range(44, 51)
    assert weekly.stands("B").kit.gives is None
    assert (_booked(weekly, "A"), _booked(weekly, "B")) == (1, 3)


def test_a_test_taken_back_and_a_new_battery_make_it_as_good_as_its_type(weekly: Club) -> None:
    _test(weekly, "A", 50)
    _test(weekly, "B", 50)
    weekly.leader(battery.say_of_battery, "C test 50")
    weekly.leader(handover.undo)
    weekly.leader(fitting.fit, "new battery N1 to B")
    assert [weekly.stands(label).kit.gives is None for label in "ABC"] == [False, True, True]


def test_the_plan_that_a_weak_battery_breaks_says_no_with_what_would_do(weekly: Club) -> None:
    for label in "ABCDEF":
        _test(weekly, label, 35)
    every = weekly.leader(booking.request, "6 kits for Red Fri 15:30-17:00")
    assert isinstance(every, Booked)
    refused = weekly.leader(booking.request, "1 kit for Red Sat 10:00-11:30")
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.BATTERY


def _for_half_an_hour(club: Club, label: str) -> int:
    """Charge an empty battery for half an hour; return the per cent that it came to."""
    thing = [(club.stands(label).kit.id, False)]
    club.leader(battery.say_of_battery, f"{label} found flat")
    club.leader(lots.put_on, thing)
    club.later(minutes=30)
    done = club.leader(lots.done, thing)
    assert isinstance(done, LotDone)
    club.later(minutes=5)
    return done.off[0].percent


def test_a_charge_in_part_is_booked_for_what_it_left_in_the_battery(weekly: Club) -> None:
    """With 102 minutes from full, nine times in ten, and 30 of them driven in a session."""
    assert 15 < _for_half_an_hour(weekly, "A") < 29
    assert (_booked(weekly, "A"), _booked(weekly, "B")) == (0, 3)
    weekly.leader(charging.charged, "A")
    weekly.later(minutes=5)
    assert _booked(weekly, "A") == 3


def test_two_charges_in_part_add_up(weekly: Club) -> None:
    _for_half_an_hour(weekly, "A")
    weekly.leader(lots.put_on, [(weekly.stands("A").kit.id, False)])
    weekly.later(minutes=60)
    weekly.leader(lots.done, [(weekly.stands("A").kit.id, False)])
    weekly.later(minutes=5)
    assert _booked(weekly, "A") == 2
