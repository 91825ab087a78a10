"""What the adults hear of batteries before and in a long break."""

from __future__ import annotations

from datetime import date, timedelta

from clubbot.desk import battery, charging, fault, storing
from clubbot.desk import club as club_desk
from clubbot.rules.model import Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import BatteryCard, BeforeBreak, Charged, ChargeList, TopUp
from clubbot.store import clubs
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


def _no_club_but_open_days(club: Club) -> None:
    """Closed to Mon 5 Oct, and no session for weeks; Tue 6 Oct is the first open day."""
    club.leader(club_desk.close_days, "3 Oct to 5 Oct: holidays")
    with club.store.write() as tx:
        for weeks in range(4):
            for day in (date(2026, 10, 9), date(2026, 10, 12)):
                clubs.close_days(tx, club.id, *[day + timedelta(weeks=weeks)] * 2, "")


def test_what_is_too_empty_is_on_the_list_a_week_before_and_asked_again_until_it_is_noted(
    club: Club,
) -> None:
    _no_club_but_open_days(club)
    club.leader(battery.say_of_battery, "E ran flat")
    club.leader(charging.charged, "A B C D F")
    listed = club.leader(charging.charge_list)
    assert isinstance(listed, ChargeList)
    ((kit, minutes),) = listed.to_half
    assert (kit.label, 30 < minutes < 120) == ("E", True)
    club.set("2026-10-02 16:30")
    (told,) = _told(club, BeforeBreak)
    assert isinstance(told, BeforeBreak)
    assert [(kit.label, told.again) for kit, _ in told.low] == [("E", False)]
    club.set("2026-10-06 08:00")
    (asked,) = _told(club, BeforeBreak)
    assert isinstance(asked, BeforeBreak)
    assert [(kit.label, asked.again) for kit, _ in asked.low] == [("E", True)]
    assert club.student(storing.half_full, [kit.id]) == Refused(
        Reason.NOT_ALLOWED, {"deed": str(Deed.SIGN_CHARGE)}
    )
    assert isinstance(club.leader(storing.half_full, [kit.id]), Charged)
    seen = club.leader(battery.battery, "E")
    assert isinstance(seen, BatteryCard)
    assert 50 <= seen.level[1] <= 60


def test_what_is_noted_before_the_break_is_not_asked_again(club: Club) -> None:
    _no_club_but_open_days(club)
    club.leader(charging.charged, "A B C D F")
    club.leader(battery.say_of_battery, "E ran flat")
    club.set("2026-10-02 17:30")
    (told,) = _told(club, BeforeBreak)
    assert isinstance(told, BeforeBreak)
    club.leader(storing.half_full, [kit.id for kit, _ in told.low])
    club.set("2026-10-06 09:00")
    assert _told(club, BeforeBreak) == []


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
