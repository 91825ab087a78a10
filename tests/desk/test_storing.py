"""What the adults hear of batteries before and in a long break."""

from __future__ import annotations

from datetime import date

from clubbot.desk import battery, charging, fault
from clubbot.desk import club as club_desk
from clubbot.rules.results import BeforeBreak, TopUp
from tests.desk.scene import Club


def _told(club: Club, kind: type) -> list[object]:
    mail = club.mail()
    return [each for each in mail.get("Leader", []) if isinstance(each, kind)]


def test_before_a_long_break_every_adult_hears_once_which_battery_needs_what(club: Club) -> None:
    club.leader(club_desk.close_days, "3 Oct to 25 Oct: holidays")
    club.leader(charging.charged, "A")
    club.student(fault.report, "the battery of F is swollen and hot")
    club.set("2026-10-02 16:29")
    assert _told(club, BeforeBreak) == []
    club.set("2026-10-02 16:30")
    (told,) = _told(club, BeforeBreak)
    assert isinstance(told, BeforeBreak)
    assert told.until == date(2026, 10, 26)
    assert [kit.label for kit in told.full] == ["A"]
    assert [kit.label for kit in told.unknown] == ["B", "C", "D", "E"], "nobody looked at them"
    assert told.half == ()
    assert [kit.label for kit in told.held] == ["F"]
    assert told.top_up is None
    club.later(minutes=10)
    assert _told(club, BeforeBreak) == []


def test_a_week_without_club_needs_no_storage(club: Club) -> None:
    club.leader(club_desk.close_days, "3 Oct to 9 Oct: mid-term")
    club.set("2026-10-02 16:30")
    assert _told(club, BeforeBreak) == []


def test_a_kit_that_nobody_charged_for_three_months_is_asked_for_until_it_is(club: Club) -> None:
    club.leader(charging.charged, "A")
    club.set("2026-11-02 09:00")
    club.leader(charging.charged, "C D E F")
    club.set("2026-12-29 09:00")
    assert _told(club, TopUp) == []
    club.set("2026-12-30 09:00")
    (told,) = _told(club, TopUp)
    assert isinstance(told, TopUp)
    assert [(kit.label, at is None) for kit, at in told.kits] == [("A", False), ("B", True)]
    club.set("2026-12-31 09:00")
    assert _told(club, TopUp) == []
    club.set("2027-01-04 09:00")
    assert len(_told(club, TopUp)) == 1
    club.leader(charging.charged, "A B")
    club.set("2027-01-11 09:00")
    assert _told(club, TopUp) == []


def _before_months_without_an_open_day(club: Club) -> BeforeBreak:
    club.leader(club_desk.close_days, "3 Oct to 31 Jan: building works")
    club.set("2026-10-02 16:30")
    (told,) = _told(club, BeforeBreak)
    assert isinstance(told, BeforeBreak)
    assert told.until == date(2027, 2, 1)
    assert told.shut
    return told


def test_where_no_open_day_is_left_somebody_must_come_in_and_is_reminded_that_day(
    club: Club,
) -> None:
    """Half full ones may reach a fifth after 70 days; full ones need it after three months."""
    club.leader(charging.charged, "A B C D")
    for label in "EF":
        club.leader(battery.say_of_battery, f"{label} 50 %")
    told = _before_months_without_an_open_day(club)
    assert [kit.label for kit in told.half] == ["E", "F"]
    assert told.top_up == date(2026, 12, 11)
    club.set("2026-12-10 09:00")
    assert _told(club, TopUp) == []
    club.set("2026-12-11 09:00")
    (asked,) = _told(club, TopUp)
    assert isinstance(asked, TopUp)
    assert [kit.label for kit, _ in asked.kits] == list("ABCDEF"), "one visit will do"
    club.leader(charging.charged, "A B C D E F")
    club.set("2027-01-04 09:00")
    assert _told(club, TopUp) == []


def test_full_ones_need_nobody_before_three_months_are_over(club: Club) -> None:
    club.leader(charging.charged, "A B C D E F")
    told = _before_months_without_an_open_day(club)
    assert told.top_up is not None
    club.set("2026-12-11 09:00")
    assert _told(club, TopUp) == []
    club.set(f"{told.top_up} 07:59")
    assert _told(club, TopUp) == []
    club.set(f"{told.top_up} 08:00")
    assert len(_told(club, TopUp)) == 1
