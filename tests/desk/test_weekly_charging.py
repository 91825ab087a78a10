"""The week's charge list: when it comes, when it doesn't, once; and the day before a busy day."""

from __future__ import annotations

from datetime import date, time

import pytest

from clubbot.desk import booking, charging, fault
from clubbot.desk import club as club_desk
from clubbot.rules.results import BeforeBreak, BusyDay, ChargeList, Today
from clubbot.store import clubs
from tests.desk.scene import Club

MONDAY = "A and B for Red Mon 16:00-17:30"


def _told(club: Club, kind: type, who: str = "Leader") -> list[object]:
    return [each for each in club.mail().get(who, []) if isinstance(each, kind)]


def _closed(club: Club, first: date, last: date) -> None:
    with club.store.write() as tx:
        clubs.close_days(tx, club.id, first, last, "")


def _comes_at(club: Club, moment: str) -> list[ChargeList]:
    """Return the lists that come at a moment, having made sure that none came just before."""
    club.set(moment)
    club.later(minutes=-1)
    assert _told(club, ChargeList) == []
    club.later(minutes=1)
    found = _told(club, ChargeList)
    assert all(isinstance(each, ChargeList) for each in found)
    return [each for each in found if isinstance(each, ChargeList)]


def test_it_comes_on_friday_once_the_session_is_over_to_every_adult_and_only_once(
    club: Club,
) -> None:
    club.leader(booking.request, MONDAY)
    (first,) = _comes_at(club, "2026-10-02 17:00")
    assert [line.kit.label for line in first.needed] == ["A", "B"]
    for later in ("2026-10-02 17:30", "2026-10-03 09:00", "2026-10-05 09:00"):
        club.set(later)
        assert _told(club, ChargeList) == []
    club.settings(charge_list_weekday=0, charge_list_at=club.at("2026-10-05 10:00").time())
    club.set("2026-10-05 11:00")
    assert _told(club, ChargeList) == [], "the week has had its list, whatever is set now"


@pytest.mark.parametrize(
    ("weekday", "moment"),
    [(0, "2026-10-05 17:30"), (2, "2026-10-07 15:00"), (6, "2026-10-04 15:00")],
)
def test_it_comes_on_whatever_day_and_hour_is_set(club: Club, weekday: int, moment: str) -> None:
    club.set("2026-10-03 12:00")
    club.settings(charge_list_weekday=weekday)
    club.leader(booking.request, "A for Red Fri 9 Oct 15:30-17:00")
    assert len(_comes_at(club, moment)) == 1


def test_it_comes_earlier_where_the_usual_day_is_closed(club: Club) -> None:
    _closed(club, date(2026, 10, 2), date(2026, 10, 2))
    club.leader(booking.request, MONDAY)
    assert len(_comes_at(club, "2026-10-01 15:00")) == 1
    club.set("2026-10-02 17:00")
    assert _told(club, ChargeList) == []


def test_in_a_holiday_it_waits_for_the_first_open_day(club: Club) -> None:
    """Closed to Tue 13 Oct: on Fri 9 Oct nobody is there, and the next session is on Friday."""
    _closed(club, date(2026, 10, 3), date(2026, 10, 13))
    club.leader(booking.request, "A and B for Red Fri 16 Oct 15:30-17:00")
    club.set("2026-10-09 18:00")
    assert _told(club, ChargeList) == []
    (told,) = _comes_at(club, "2026-10-14 08:00")
    assert [line.kit.label for line in told.needed] == ["A", "B"]


def test_nobody_is_told_that_nothing_needs_a_charge(club: Club) -> None:
    club.leader(booking.request, MONDAY)
    club.leader(charging.charged, "A B")
    club.set("2026-10-02 17:00")
    assert _told(club, ChargeList) == []


def test_before_a_long_break_it_turns_into_what_to_do_for_storing(club: Club) -> None:
    _closed(club, date(2026, 10, 3), date(2026, 10, 18))
    club.leader(booking.request, "A for Red from Fri 2 Oct 17:00 to Fri 9 Oct 17:00")
    club.set("2026-10-02 16:30")
    assert len(_told(club, BeforeBreak)) == 1
    club.set("2026-10-02 17:00")
    assert _told(club, ChargeList) == []
    club.set("2026-10-04 12:00")
    assert _told(club, ChargeList) == []


def test_it_says_who_can_stay_off_and_whom_charging_wont_fix(club: Club) -> None:
    club.leader(booking.request, "A and B and C for Red Mon 16:00-17:30")
    club.leader(charging.charged, "B")
    club.student(fault.report, "C won't charge")
    (shown,) = _comes_at(club, "2026-10-02 17:00")
    assert shown.plan is not None
    assert [kit.label for kit in shown.plan.enough] == ["B"]
    assert [line.kit.label for line in shown.idle] == ["D", "E", "F"]
    assert [(kit.label, number) for kit, number in shown.faulty] == [("C", 1)]


# -- the day before a busy day ---------------------------------------------------------------------


@pytest.fixture
def saturday(club: Club) -> Club:
    """Three sessions back to back on Saturday 3 October, all with A, of full driving."""
    club.leader(club_desk.set_hours, "Fri 12:00-15:30, Sat 09:00-18:00")
    for start, end in (("10:00", "11:30"), ("11:45", "13:15"), ("13:30", "15:00")):
        with club.store.write() as tx:
            times = time.fromisoformat(start), time.fromisoformat(end)
            clubs.add_meeting(tx, club.id, 5, *times, None)
        club.leader(booking.request, f"A for Red Sat 3 Oct {start}-{end}")
    club.settings(driving_percent=66, charge_bays=2, charge_minutes=150)
    return club


def test_a_busy_day_is_told_the_day_before_with_the_mornings_list(saturday: Club) -> None:
    saturday.leader(booking.request, "B for Blue Fri 2 Oct 15:30-17:00")
    saturday.leader(charging.charged, "A")
    saturday.set("2026-10-02 07:59")
    assert _told(saturday, BusyDay) == []
    saturday.set("2026-10-02 08:00")
    mail = saturday.mail()["Leader"]
    assert [type(each) for each in mail] == [Today, BusyDay], "one message"
    told = mail[1]
    assert isinstance(told, BusyDay)
    assert told.sessions == 3
    assert [kit.label for kit in told.lasts] == []
    planned = [*told.before, *told.between]
    assert {each.kit.label for each in (*planned, *told.short)} == {"A"}
    saturday.set("2026-10-02 18:00")
    assert _told(saturday, BusyDay) == []


def test_where_no_charge_can_be_made_it_says_from_when_and_whom_to_swap_it_for(
    saturday: Club,
) -> None:
    saturday.leader(club_desk.set_hours, "Fri 12:00-12:05")
    saturday.leader(charging.charged, "A C")
    saturday.set("2026-10-02 08:00")
    (told,) = _told(saturday, BusyDay)
    assert isinstance(told, BusyDay)
    (short,) = told.short
    assert (short.kit.label, short.own) == ("A", False)
    assert short.since >= saturday.at("2026-10-03 11:45")
    assert short.instead is not None
    assert short.instead.label == "C", "B, D, E and F may be flat for all that is known"


def test_a_busy_day_for_which_all_lasts_makes_no_message(saturday: Club) -> None:
    saturday.settings(driving_percent=20)
    saturday.leader(charging.charged, "A")
    saturday.set("2026-10-02 08:00")
    assert _told(saturday, BusyDay) == []
