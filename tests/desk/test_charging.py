"""The charge list, and what was charged."""

from __future__ import annotations

from datetime import date

import pytest

from clubbot.desk import booking, charging, fault, handover, usability
from clubbot.desk import club as club_desk
from clubbot.rules.model import Reason
from clubbot.rules.results import Charged, ChargeList, ChargeSteps
from tests.desk.scene import Club, dump


def _needed(club: Club) -> list[tuple[str, int, int]]:
    """Return what the list shows: label, sessions to come, uses since the last charge."""
    shown = club.helper(charging.charge_list)
    assert isinstance(shown, ChargeList)
    return [(line.kit.label, line.sessions, line.uses_since) for line in shown.needed]


@pytest.fixture
def used(club: Club) -> Club:
    """The club after its Friday session: A was out once, B twice; both are booked for Monday."""
    club.student(booking.request, "A and B Fri 15:30-16:00")
    club.helper(booking.request, "B for Blue Fri 16:00-17:00")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "Red")
    club.set("2026-10-02 16:00")
    club.helper(handover.back, "A B")
    club.later(minutes=1)
    club.helper(handover.give_out, "B for Blue")
    club.set("2026-10-02 17:00")
    club.helper(handover.back, "B")
    club.leader(booking.request, "A and B and C for Red Mon 16:00-17:30")
    return club


def test_those_used_most_since_their_last_charge_come_first(used: Club) -> None:
    assert _needed(used) == [("B", 1, 2), ("A", 1, 1), ("C", 1, 0)]
    shown = used.helper(charging.charge_list)
    assert (shown.day, shown.until) == (date(2026, 10, 2), date(2026, 10, 9))
    assert [line.kit.label for line in shown.idle] == ["D", "E", "F"]


def test_a_charge_sets_the_count_back(used: Club) -> None:
    assert isinstance(used.leader(charging.charged, "B"), Charged)
    assert _needed(used) == [("A", 1, 1), ("B", 1, 0), ("C", 1, 0)]
    assert used.stands("B").position.charged_at == used.now


def test_a_use_that_was_undone_does_not_count(used: Club) -> None:
    used.helper(handover.give_out, "A for Red")
    assert ("A", 1, 2) in _needed(used)
    used.later(minutes=1)
    used.helper(handover.undo)
    assert ("A", 1, 1) in _needed(used)


def test_all_are_those_on_the_shelf_and_in_use(used: Club) -> None:
    used.helper(handover.give_out, "F for Blue")
    used.helper(usability.withdraw, "E: bent axle")
    charged = used.leader(charging.charged, "all")
    assert [ref.label for ref in charged.kits] == ["A", "B", "C", "D"]


def test_the_whole_list_is_signed_off_at_once_but_for_what_is_out(used: Club) -> None:
    used.helper(handover.give_out, "C for Red")
    charged = used.leader(charging.listed_charged, "2026-10-02")
    assert [ref.label for ref in charged.kits] == ["A", "B"]
    assert used.stands("C").position.charged_at is None
    assert used.leader(charging.listed_charged, "soon").reason is Reason.OUT_OF_DATE


def test_a_battery_on_hold_is_not_charged(used: Club) -> None:
    used.student(fault.report, "the battery of B is swollen and hot")
    before = dump(used.store)
    for text in ("B", "A B"):
        refused = used.leader(charging.charged, text)
        assert refused.reason is Reason.ON_HOLD
        assert refused.facts["label"] == "B"
    assert dump(used.store) == before
    assert "B" not in [label for label, _, _ in _needed(used)]
    shown = used.helper(charging.charge_list)
    assert {line.kit.label: line.why_not for line in shown.idle}["B"] == "on hold"


def test_what_is_not_a_kit_is_not_charged(club: Club) -> None:
    before = dump(club.store)
    for text in ("", "X", "the other one"):
        assert club.leader(charging.charged, text).reason is Reason.UNKNOWN_KIT
    assert dump(club.store) == before


# -- who is charged when --------------------------------------------------------------------------


@pytest.fixture
def busy(used: Club) -> Club:
    """The same club on its Friday evening: an adult is there on Mondays from 14:00, too."""
    used.leader(club_desk.set_hours, "Mon 14:00-16:00")
    used.settings(charge_bays=2, charge_minutes=150)
    return used


def _plan(club: Club) -> ChargeSteps:
    shown = club.helper(charging.charge_list)
    assert isinstance(shown, ChargeList)
    assert shown.plan is not None
    return shown.plan


def test_the_list_says_who_is_charged_when_on_which_bay_before_the_session(busy: Club) -> None:
    plan = _plan(busy)
    monday = busy.at("2026-10-05 14:00"), busy.at("2026-10-05 16:00")
    assert plan.steps
    for step in plan.steps:
        assert monday[0] <= step.window.start < step.window.end <= monday[1]
        assert step.bay in (1, 2)
    assert {step.kit.label for step in plan.steps} | {s.kit.label for s in plan.short} == set("ABC")


def test_what_was_charged_just_now_is_full_enough_for_one_session(busy: Club) -> None:
    busy.leader(charging.charged, "A B C")
    plan = _plan(busy)
    assert plan.steps == ()
    assert [kit.label for kit in plan.enough] == ["A", "B", "C"]


def test_where_no_adult_is_there_in_time_the_list_says_so_and_what_would_help(used: Club) -> None:
    plan = _plan(used)
    assert plan.steps == ()
    assert {each.kit.label for each in plan.short} == set("ABC")
    assert plan.adult_from is not None
    assert plan.adult_from.end == used.at("2026-10-05 16:00")


def test_a_full_charge_is_enough_for_three_usual_sessions_and_not_for_four(club: Club) -> None:
    club.leader(club_desk.set_hours, "Wed 13:00-15:00")
    club.leader(charging.charged, "A")
    for booked in ("Fri 15:30-17:00", "Mon 16:00-17:30", "Tue 16:00-17:30"):
        club.leader(booking.request, f"A for Red {booked}")
        assert [kit.label for kit in _plan(club).enough] == ["A"], booked
    club.leader(booking.request, "A for Red Wed 16:00-17:30")
    (step,) = _plan(club).steps
    assert step.kit.label == "A"
    assert club.at("2026-10-07 13:00") <= step.window.start
    assert step.window.end <= club.at("2026-10-07 16:00")


def test_where_an_adult_is_there_anyway_a_third_session_is_made_surer_than_nine_in_ten(
    club: Club,
) -> None:
    club.leader(club_desk.set_hours, "Mon 13:00-15:00")
    club.leader(charging.charged, "A")
    for booked in ("Fri 15:30-17:00", "Mon 16:00-17:30", "Tue 16:00-17:30"):
        club.leader(booking.request, f"A for Red {booked}")
    assert [step.kit.label for step in _plan(club).steps] == ["A"]
