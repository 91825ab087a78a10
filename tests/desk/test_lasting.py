"""Today's list says whether each battery and tablet lasts, and what to do where it may not."""

from __future__ import annotations

from clubbot.chat.words import said
from clubbot.desk import battery, booking, charging, fitting, today
from clubbot.desk.acting import View
from clubbot.rules.model import Role
from clubbot.rules.results import BatterySaid, Today
from tests.desk.scene import Club


def _friday(club: Club, *said_before: str) -> list[tuple[str, str, str]]:
    club.leader(booking.request, "A for Red Fri 15:30-17:00")
    club.set("2026-10-02 09:00")
    for text in said_before:
        assert isinstance(club.leader(battery.say_of_battery, text), BatterySaid)
    shown = club.leader(today.today)
    assert isinstance(shown, Today)
    view = View(club.zone, club.now, Role.LEADER, private=True, club="Lanterns")
    assert all(each.why in said(shown, view).text for each in shown.todo)
    return [(each.what, each.kit.label, each.why) for each in shown.todo]


def test_a_kit_of_which_nobody_noted_anything_is_not_doubted(club: Club) -> None:
    assert _friday(club) == []


def test_a_charged_kit_with_a_full_tablet_is_ready(club: Club) -> None:
    club.leader(charging.charged, "A")
    assert _friday(club, "tablet A 90 %") == []


def test_a_low_battery_is_to_be_charged_or_swapped(club: Club) -> None:
    ((what, label, why),) = _friday(club, "A 10 %")
    assert (what, label) == ("charge", "A")
    assert "may not last" in why


def test_a_weak_battery_is_to_be_swapped_for_charging_will_not_do(club: Club) -> None:
    ((what, _, why),) = _friday(club, "A test 20")
    assert (what, why) == ("swap", "too weak, even full")


def test_a_low_tablet_is_to_be_plugged_in_and_goes_along_to_another_kit(club: Club) -> None:
    made = club.leader(fitting.fit, "tablet T3 to B")
    assert made.new
    club.leader(battery.say_of_battery, "tablet B 10 %")
    club.later(minutes=5)
    club.leader(fitting.fit, "tablet T3 to A")
    assert _friday(club) == [("plug", "A", "tablet about 8 %")]
    club.student(battery.say_of_battery, "A's tablet charged")
    assert [each.what for each in club.leader(today.today).todo] == []
