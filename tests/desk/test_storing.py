"""What the adults hear of batteries before and in a long break."""

from __future__ import annotations

from datetime import date

from clubbot.desk import charging, fault
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
