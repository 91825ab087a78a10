"""What is on the chargers: levels and the rest of the plan follow what was said of it."""

from __future__ import annotations

import pytest

from clubbot.desk import battery, booking, charging, fault, handover, lots, usability
from clubbot.desk import club as club_desk
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import (
    BatteryCard,
    ChargeList,
    ChargeSteps,
    DangerAlarm,
    LotDone,
    LotLook,
    LotNotDone,
    LotOn,
    LotOver,
    LotShows,
)
from clubbot.store import charging as store
from clubbot.store import ledger
from clubbot.store.charging import OnCharge
from clubbot.store.ledger import Draft
from tests.desk.scene import Club, dump


@pytest.fixture
def monday(club: Club) -> Club:
    """Monday noon before a session with A, B and C, two bays, an adult there until it begins."""
    club.leader(club_desk.set_hours, "Mon 12:00-16:00")
    club.settings(charge_bays=2, charge_minutes=150)
    club.leader(booking.request, "A and B and C for Red Mon 16:00-17:30")
    club.set("2026-10-05 12:00")
    return club


def _things(club: Club, labels: str) -> list[tuple[int, bool]]:
    return [(club.kit(label), False) for label in labels]


def _plan(club: Club) -> ChargeSteps:
    shown = club.helper(charging.charge_list)
    assert isinstance(shown, ChargeList)
    assert shown.plan is not None
    return shown.plan


def _level(club: Club, label: str) -> int:
    card = club.helper(battery.battery, label)
    assert isinstance(card, BatteryCard)
    return card.level[1]


def test_what_is_on_keeps_its_bay_and_the_rest_is_planned_around_it(monday: Club) -> None:
    on = monday.leader(lots.put_on, _things(monday, "AB"))
    assert isinstance(on, LotOn)
    assert {each.bay for each in on.on} == {1, 2}
    plan = _plan(monday)
    assert [each.kit.label for each in plan.on] == ["A", "B"]
    assert {step.kit.label for step in plan.steps} == {"C"}
    for step in plan.steps:
        busy = next(each.until for each in plan.on if each.bay == step.bay)
        assert step.window.start >= busy


def test_done_notes_the_charge_for_as_long_as_it_was_on_and_can_be_undone(monday: Club) -> None:
    monday.leader(battery.say_of_battery, "A 10 %")
    monday.leader(lots.put_on, _things(monday, "A"))
    monday.later(minutes=30)
    done = monday.leader(lots.done, _things(monday, "A"))
    assert isinstance(done, LotDone)
    assert 15 < done.off[0].percent < 60
    assert done.off[0].percent <= _level(monday, "A") < 60
    assert _plan(monday).on == ()
    assert isinstance(monday.leader(lots.done, _things(monday, "A")), Refused)
    monday.later(minutes=1)
    monday.leader(handover.undo)
    assert _level(monday, "A") < 20


def test_not_done_leaves_the_level_and_plans_it_again(monday: Club) -> None:
    monday.leader(battery.say_of_battery, "A 10 %")
    before = _level(monday, "A")
    monday.leader(lots.put_on, _things(monday, "A"))
    monday.later(minutes=60)
    said = monday.leader(lots.not_done, _things(monday, "A"))
    assert isinstance(said, LotNotDone)
    assert "A" in {step.kit.label for step in said.then}
    assert abs(_level(monday, "A") - before) <= 2


def test_swapping_ends_what_is_over_and_begins_the_next_in_one_go(monday: Club) -> None:
    monday.leader(lots.put_on, _things(monday, "AB"))
    monday.later(hours=3)
    swapped = monday.leader(lots.swapped, _things(monday, "C"))
    assert isinstance(swapped, LotDone)
    assert [each.kit.label for each in swapped.off] == ["A", "B"]
    assert swapped.swapped is not None
    assert [each.kit.label for each in swapped.swapped.on] == ["C"]
    assert [each.kit.label for each in _plan(monday).on] == ["C"]


def test_whoever_put_them_on_is_asked_five_minutes_later_and_told_when_they_are_over(
    monday: Club,
) -> None:
    monday.mail()
    on = monday.leader(lots.put_on, _things(monday, "AB"))
    monday.later(minutes=4)
    assert monday.mail() == {}
    monday.later(minutes=1)
    mail = monday.mail()
    assert [type(each) for each in mail["Leader"]] == [LotLook]
    assert "Co-leader" not in mail
    assert isinstance(monday.leader(lots.showing, _things(monday, "AB")), LotShows)
    monday.now = max(each.until for each in on.on)
    (over,) = monday.mail()["Leader"]
    assert isinstance(over, LotOver)
    assert [each.kit.label for each in over.on] == ["A", "B"]
    assert {step.kit.label for step in over.then} <= {"C"}


def test_a_tablet_charges_beside_the_bays(monday: Club) -> None:
    with monday.store.write() as tx:
        low = Draft(EntryKind.LEVEL_SEEN, kit=monday.kit("A"), detail=Detail(percent=20, own=True))
        now = monday.now
        ledger.append(
            tx, monday.id, [low], happened_at=now, said_at=now, said_by=monday.leader.id, deed=""
        )
    plan = _plan(monday)
    own = [step for step in plan.steps if step.own]
    assert [(step.kit.label, step.bay) for step in own] == [("A", 0)]
    monday.leader(lots.put_on, [(monday.kit("A"), True)])
    monday.later(minutes=45)
    monday.leader(lots.done, [(monday.kit("A"), True)])
    with monday.store.read() as tx:
        (entry,) = [e for e in ledger.history(tx, monday.id) if e.kind is EntryKind.CHARGED]
    assert entry.detail.own
    assert _level(monday, "A") == _level(monday, "D"), "the unit was not charged"


def test_what_is_on_hold_or_out_is_not_put_on(monday: Club) -> None:
    monday.student(fault.report, "the battery of B is swollen and hot")
    monday.helper(handover.give_out, "C for Red")
    on = monday.leader(lots.put_on, _things(monday, "ABC"))
    assert [each.kit.label for each in on.on] == ["A"]
    assert [(each.kit.label, each.why) for each in on.left] == [("B", "on hold"), ("C", "out")]


def test_what_is_full_is_not_put_on_and_an_old_row_of_it_is_nothing(monday: Club) -> None:
    monday.leader(charging.charged, "A B C")
    on = monday.leader(lots.put_on, _things(monday, "A"))
    assert [(each.kit.label, each.why) for each in on.left] == [("A", "full")]
    assert on.on == ()
    with monday.store.write() as tx:
        row = OnCharge((monday.kit("A"), False), 1, monday.now, monday.now, 100)
        store.put_on(tx, monday.id, [row])
    assert _plan(monday).on == ()


def test_what_is_held_given_out_or_charged_is_on_no_charger_and_never_counts_as_charged(
    monday: Club,
) -> None:
    monday.settings(charge_bays=3)
    monday.leader(lots.put_on, _things(monday, "ABC"))
    monday.later(minutes=20)
    monday.mail()
    monday.student(fault.report, "kit A is smoking on the charger")
    (alarm,) = (each for each in monday.mail()["Leader"] if isinstance(each, DangerAlarm))
    assert [(kit.label, bay) for kit, bay in alarm.bays] == [("A", 1)]
    monday.helper(handover.give_out, "B for Blue")
    plan = _plan(monday)
    assert [each.kit.label for each in plan.on] == ["C"]
    assert [(kit.label, bay) for kit, bay in plan.empty] == [("A", 1)]
    put = monday.leader(lots.put_on, _things(monday, "DE"))
    assert [(each.kit.label, each.bay) for each in put.on] == [("D", 2)], "not where A smoked"
    monday.later(minutes=1)
    monday.leader(lots.not_done, _things(monday, "D"))
    monday.leader(usability.release, "A")
    assert _plan(monday).empty == ()
    monday.helper(handover.back, "B")
    monday.leader(charging.charged, "C")
    assert _plan(monday).on == ()
    for label in "ABC":
        assert monday.leader(lots.done, _things(monday, label)).reason is Reason.OUT_OF_DATE


def test_what_was_given_out_by_mistake_is_on_the_charger_still(monday: Club) -> None:
    monday.leader(lots.put_on, _things(monday, "A"))
    monday.later(minutes=5)
    monday.helper(handover.give_out, "A for Red")
    assert _plan(monday).on == ()
    monday.helper(handover.undo)
    assert [each.kit.label for each in _plan(monday).on] == ["A"]


def test_a_charge_that_nobody_confirms_is_asked_after_once_more_and_of_every_adult(
    monday: Club,
) -> None:
    on = monday.leader(lots.put_on, _things(monday, "A"))
    monday.now = on.on[0].until
    assert [type(each) for each in monday.mail()["Leader"]][-2:] == [LotLook, LotOver]
    monday.set("2026-10-09 07:59")
    assert not any(isinstance(e, LotOver) for mail in monday.mail().values() for e in mail)
    monday.set("2026-10-09 08:00")
    mail = monday.mail()
    for adult in ("Leader", "Co-leader"):
        (asked,) = (each for each in mail[adult] if isinstance(each, LotOver))
        assert asked.again
        assert [each.kit.label for each in asked.on] == ["A"]
    monday.set("2026-10-12 12:00")
    assert not any(isinstance(e, LotOver) for mail in monday.mail().values() for e in mail)
    shown = monday.helper(charging.charge_list)
    assert [each.kit.label for each in shown.on] == ["A"], "though no kit needs a charge"
    done = monday.leader(lots.done, _things(monday, "A"))
    assert done.off[0].percent == on.on[0].percent, "not the days that it may have lain there"


def test_no_more_is_on_than_there_are_bays_and_nothing_twice(monday: Club) -> None:
    first = monday.leader(lots.put_on, _things(monday, "AB"))
    monday.later(minutes=5)
    again = monday.co_leader(lots.put_on, _things(monday, "BC"))
    assert [(each.kit.label, each.why) for each in again.left] == [("B", "on"), ("C", "no bay")]
    assert [each.kit.label for each in again.before] == ["A", "B"]
    assert _plan(monday).on == first.on, "their time didn't move"


def test_buttons_of_a_day_that_is_over_change_nothing(monday: Club) -> None:
    day = monday.now.date()
    monday.later(days=1)
    refused = monday.leader(lots.put_on, _things(monday, "A"), day)
    assert refused.reason is Reason.OUT_OF_DATE
    monday.leader(lots.put_on, _things(monday, "A"))
    for use in (lots.showing, lots.not_charging, lots.done, lots.not_done):
        assert monday.leader(use, _things(monday, "A"), day).reason is Reason.OUT_OF_DATE
    assert isinstance(monday.leader(lots.done, _things(monday, "A"), monday.now.date()), LotDone)


def test_what_cannot_be_right_now_is_remarked(monday: Club) -> None:
    monday.set("2026-10-05 15:30")
    on = monday.leader(lots.put_on, _things(monday, "A"))
    assert on.attended
    assert [(kit.label, start) for kit, start in on.booked] == [
        ("A", monday.at("2026-10-05 16:00"))
    ]
    assert on.on[0].until == monday.at("2026-10-05 16:00")
    monday.set("2026-10-05 23:30")
    assert not monday.leader(lots.put_on, _things(monday, "D")).attended


def test_what_a_charge_does_not_help_is_not_on_the_plan(monday: Club) -> None:
    monday.student(fault.report, "B won't charge")
    assert {step.kit.label for step in _plan(monday).steps} == {"A", "C"}


def test_buttons_of_kits_that_are_not_there_change_nothing(monday: Club) -> None:
    before = dump(monday.store)
    for use in (lots.put_on, lots.showing, lots.done, lots.not_done, lots.swapped):
        refused = monday.leader(use, [(999_999, False)])
        assert refused.reason is Reason.OUT_OF_DATE
    assert monday.helper(lots.put_on, _things(monday, "A")).reason is Reason.NOT_ALLOWED
    assert dump(monday.store) == before
