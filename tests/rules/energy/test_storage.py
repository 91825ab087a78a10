"""Dates of keeping batteries alive: when a long break begins, and by when one needs a charge."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.calendar import Closure, ClubCalendar, Meeting
from clubbot.rules.energy.belief import after, prior
from clubbot.rules.energy.events import Charged, Rested
from clubbot.rules.energy.storage import (
    FLOOR,
    break_from,
    floor_by,
    open_day_by,
    storage_due,
    storage_moments,
    top_up_by,
    top_up_due,
)
from clubbot.rules.settings import ClubSettings

CHRISTMAS = Closure(date(2026, 12, 19), date(2027, 1, 3), "Christmas")
MID_TERM = Closure(date(2026, 10, 26), date(2026, 10, 30), "mid-term")
FRIDAYS = Meeting(1, "", 4, time(15, 30), time(17))
CLUB = ClubCalendar(ZoneInfo("Europe/Dublin"), (FRIDAYS,), (MID_TERM, CHRISTMAS))


def test_the_last_session_before_a_long_break_is_when_the_adults_hear_of_it() -> None:
    due = storage_due(CLUB, date(2026, 12, 18))
    assert due is not None
    assert due.at == datetime(2026, 12, 18, 16, 30, tzinfo=UTC)
    found = break_from(CLUB, date(2026, 12, 18))
    assert found is not None
    assert found.first is not None
    assert found.first.day == date(2027, 1, 8)
    assert storage_moments(CLUB, date(2026, 12, 1), date(2026, 12, 31)) == [due.at]


def test_a_usual_week_is_no_break_and_a_club_at_its_end_is_one() -> None:
    assert break_from(CLUB, date(2026, 10, 9)) is None
    over = Closure(date(2026, 6, 20), date(2027, 6, 20), "no club")
    found = break_from(ClubCalendar(CLUB.zone, (FRIDAYS,), (over,)), date(2026, 6, 19))
    assert found is not None
    assert found.first is None


def test_a_battery_is_charged_again_within_three_months_on_an_open_day_not_later() -> None:
    charged = datetime(2026, 10, 1, 15, tzinfo=UTC)
    assert top_up_by(charged, CLUB) == date(2026, 12, 18), "90 days on is in the holidays"
    mail = ClubSettings()
    for day, asked in ((17, False), (18, True)):
        now = datetime(2026, 12, day, 9, tzinfo=UTC)
        assert (top_up_due([charged], CLUB, mail, now) is not None) is asked
    assert top_up_due([charged], CLUB, mail, datetime(2026, 12, 21, 9, tzinfo=UTC)) is None
    late = top_up_due([charged], CLUB, mail, datetime(2027, 1, 4, 9, tzinfo=UTC))
    assert late is not None
    assert late.occurrence == "2027-W01"


days = st.dates(date(2026, 1, 1), date(2027, 12, 31))


@given(day=days, closed=st.lists(st.tuples(days, st.integers(0, 50)), max_size=6))
def test_no_charge_is_ever_moved_to_a_later_or_a_closed_day(
    day: date, closed: list[tuple[date, int]]
) -> None:
    closures = tuple(Closure(first, first + timedelta(days=n)) for first, n in closed)
    calendar = ClubCalendar(CLUB.zone, (FRIDAYS,), closures)
    found = open_day_by(calendar, day, day - timedelta(days=90))
    assert found <= day
    assert calendar.open_day(found) or found == day
    between = [found + timedelta(days=n + 1) for n in range((day - found).days)]
    assert not any(map(calendar.open_day, between))


def test_a_half_full_battery_lasts_through_a_summer_and_an_empty_one_not_a_day() -> None:
    today = date(2026, 6, 19)
    half = after(prior(120), [Charged(0.55)])
    assert floor_by(half, today) >= today + timedelta(days=75)
    low = after(half, [Rested((floor_by(half, today) - today).days)]).level.low
    assert low >= FLOOR - 0.05
    assert floor_by(after(prior(120), [Charged(0.1)]), today) == today
