"""What people say of a battery, and what is answered when they ask how full it is."""

from __future__ import annotations

import pytest

from clubbot.desk import battery, charging, handover
from clubbot.rules.energy.saying import read
from clubbot.rules.ledger import EntryKind
from clubbot.rules.model import ClubId, Reason, Refused
from clubbot.rules.results import BatteryCard, BatterySaid
from clubbot.store import clubs, kits
from tests.desk.scene import Club, dump


def _card(club: Club, label: str = "A") -> BatteryCard:
    found = club.helper(battery.battery, label)
    assert isinstance(found, BatteryCard)
    return found


def _said(club: Club, text: str) -> BatteryCard:
    found = club.helper(battery.say_of_battery, text)
    assert isinstance(found, BatterySaid)
    return found.card


@pytest.mark.parametrize(
    ("text", "kind", "percent", "minutes", "rest"),
    [
        ("D 40 %", EntryKind.LEVEL_SEEN, 40, None, "D"),
        ("D 2 bars", EntryKind.LEVEL_SEEN, 50, None, "D"),
        ("D shows three of five bars", EntryKind.LEVEL_SEEN, 60, None, "D shows"),
        ("2 1 bar", EntryKind.LEVEL_SEEN, 25, None, "2"),
        ("D ran flat", EntryKind.RAN_FLAT, None, None, "D"),
        ("D went dead after 20 minutes", EntryKind.RAN_FLAT, None, 20, "D"),
        ("D was flat at the start", EntryKind.FOUND_FLAT, None, None, "D"),
        ("D still running", EntryKind.STILL_RUNNING, None, None, "D"),
        ("D is still running after 95 min", EntryKind.STILL_RUNNING, None, None, "D"),
        ("D test 104", EntryKind.RUN_TIME_TESTED, None, 104, "D"),
        ("D ran flat after 1 hour", EntryKind.RAN_FLAT, None, 60, "D"),
        ("D ran flat after an hour and a half", EntryKind.RAN_FLAT, None, 90, "D"),
        ("D ran flat after 2 matches", EntryKind.RAN_FLAT, None, None, "D after 2 matches"),
        ("D is running low", EntryKind.LEVEL_SEEN, 15, None, "D is running"),
        ("D 50.5%", EntryKind.LEVEL_SEEN, 50, None, "D"),
        ("D is 80% charged", EntryKind.LEVEL_SEEN, 80, None, "D is"),
    ],
)
def test_what_is_typed_of_a_battery_is_read(
    text: str, kind: EntryKind, percent: int | None, minutes: int | None, rest: str
) -> None:
    said = read(text)
    assert said is not None
    assert (said.kind, said.detail.percent, said.detail.minutes, said.rest) == (
        kind,
        percent,
        minutes,
        rest,
    )


@pytest.mark.parametrize(
    "text",
    [
        *("", "D", "D 140 %", "D -20%", "D 9 of 4 bars", "D test 0", "why D"),
        *("D not charged", "D wasn't fully charged", "D was not charged over the weekend"),
        *("D needs to be charged", "D charged?", "is D charged", "D isn't flat", "D not flat"),
        *("D didn't run flat", "D stopped running after 20 min", "D is no longer running"),
    ],
)
def test_what_says_nothing_of_a_battery_is_not_taken_for_it(text: str) -> None:
    assert read(text) is None


def test_an_hour_of_sessions_after_a_charge_is_taken_off_and_explained(club: Club) -> None:
    club.leader(charging.charged, "A")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "A for Red")
    club.set("2026-10-02 17:00")
    club.helper(handover.back, "A")
    card = _card(club)
    assert card.driven == 30
    assert card.level[0] < 75 < card.level[2] + 5
    assert card.run[0] < 120 < card.run[2]
    assert card.left[0] < card.left[1] < card.left[2] < card.run[2]


def test_bars_and_levels_narrow_what_is_believed(club: Club) -> None:
    def width(card: BatteryCard) -> int:
        return card.level[2] - card.level[0]

    silent = _card(club)
    bars = _said(club, "A 2 bars")
    percent = _said(club, "A 50 %")
    assert width(silent) > width(bars) > width(percent)
    assert (silent.told, percent.told) == (0, 2)


def test_what_was_seen_just_now_counts_for_more_than_a_charge_noted_before(club: Club) -> None:
    club.leader(charging.charged, "A B")
    club.later(minutes=180)
    seen = _said(club, "A 20 %")
    assert seen.level[0] <= 20
    assert seen.level[1] < 40
    assert _said(club, "A 20 %").level[2] < 40
    flat = _said(club, "B ran flat")
    assert (flat.level[0], flat.worn) == (0, _card(club, "C").worn)
    club.leader(battery.say_of_battery, "C test 110")
    club.later(minutes=180)
    assert 40 < _said(club, "C 60 %").level[1] < 70


def test_what_is_said_again_replaces_what_it_contradicts(club: Club) -> None:
    _said(club, "A 10 %")
    assert _said(club, "A 90 %").level[0] > 70
    _said(club, "B ran flat")
    club.later(minutes=35)
    assert _said(club, "B still running").level[2] > 80
    _said(club, "C still running")
    club.later(minutes=20)
    assert _said(club, "C ran flat").level[2] == 0


def test_one_that_runs_flat_early_again_and_again_is_worn_and_found_flat_is_not(club: Club) -> None:
    for _ in range(4):
        for label in "AB":
            club.leader(charging.charged, label)
            club.later(minutes=5)
            club.helper(handover.give_out, f"{label} for Red")
        club.later(minutes=90)
        _said(club, "A ran flat")
        club.helper(handover.back, "A B")
        _said(club, "B found flat")
        club.later(minutes=60)
    assert _card(club, "A").worn >= 95
    assert _card(club, "B").worn <= 10
    assert _card(club, "B").flat_starts == 4


def test_a_run_time_test_is_noted_by_staff_only_and_can_be_undone(club: Club) -> None:
    before = dump(club.store)
    refused = club.student(battery.say_of_battery, "A test 50")
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.NOT_ALLOWED
    assert dump(club.store) == before
    club.leader(charging.charged, "A")
    club.later(minutes=60)
    assert 45 < _said(club, "A test 50").run[1] < 60
    club.helper(handover.undo)
    assert _card(club).run[1] > 100


def test_a_student_says_what_a_battery_shows_and_an_unknown_kit_changes_nothing(club: Club) -> None:
    pressed = club.student(battery.press_of_battery, club.stands("C").kit.id, "running")
    assert isinstance(pressed, BatterySaid)
    before = dump(club.store)
    for text in ("X 40 %", "40 %"):
        assert club.student(battery.say_of_battery, text).reason is Reason.UNKNOWN_KIT
    two = club.student(battery.say_of_battery, "A B ran flat")
    assert two == Refused(Reason.NOT_UNDERSTOOD, {"wanted": "one battery"})
    assert dump(club.store) == before


def test_a_number_alone_is_a_level_only_where_it_belongs_to_no_label(club: Club) -> None:
    with club.store.write() as tx:
        kits.add(tx, ClubId(club.id), next(iter(clubs.kit_types(tx, ClubId(club.id)))), ["Robo 7"])
    assert isinstance(club.student(battery.say_of_battery, "Robo 7"), BatteryCard)
    assert club.student(battery.say_of_battery, "Robo 7 50").percent == 50
    assert club.student(battery.say_of_battery, "A 50").percent == 50
