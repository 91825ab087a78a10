"""Weekly repeats, and the recurrence library under them, against RFC 5545's own examples."""

from __future__ import annotations

import calendar
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rruleset, rrulestr
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.calendar import DAY, Closure, ClubCalendar
from clubbot.rules.model import Window
from clubbot.rules.repeats import weekly

NEW_YORK = ZoneInfo("America/New_York")
DUBLIN = ZoneInfo("Europe/Dublin")
MONTHS = list(calendar.month_abbr)


def days(text: str, first_year: int) -> list[date]:
    """Read "Sep 2 9 Oct 7": days by month, the year moving on where the months begin again."""
    found: list[date] = []
    year, month = first_year, 0
    for word in text.split():
        if word.isalpha():
            new = MONTHS.index(word)
            year += new < month
            month = new
        else:
            found.append(date(year, month, int(word)))
    return found


def window(day: date, starts: str, ends: str, zone: ZoneInfo) -> Window:
    start, end = (
        datetime.combine(day, time.fromisoformat(at), zone).astimezone(UTC) for at in (starts, ends)
    )
    return Window(start, end)


# RFC 5545, section 3.8.5.3: DTSTART at 09:00 America/New_York throughout.
EXAMPLES = [
    ("19970902", "FREQ=WEEKLY;COUNT=10", "Sep 2 9 16 23 30 Oct 7 14 21 28 Nov 4"),
    (
        "19970902",
        "FREQ=WEEKLY;INTERVAL=2;WKST=SU;COUNT=12",
        "Sep 2 16 30 Oct 14 28 Nov 11 25 Dec 9 23 Jan 6 20 Feb 3",
    ),
    (
        "19970905",
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        "Sep 5 Oct 3 Nov 7 Dec 5 Jan 2 Feb 6 Mar 6 Apr 3 May 1 Jun 5",
    ),
    ("19970922", "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO", "Sep 22 Oct 20 Nov 17 Dec 22 Jan 19 Feb 16"),
    ("19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "Aug 5 10 19 24"),
    ("19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "Aug 5 17 19 31"),
    ("20070115", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", "Jan 15 30 Feb 15 Mar 15 30"),
]


@pytest.mark.parametrize(("start", "rule", "expected"), EXAMPLES)
def test_the_library_repeats_as_the_standard_says(start: str, rule: str, expected: str) -> None:
    first = datetime.strptime(start + "090000", "%Y%m%d%H%M%S").replace(tzinfo=NEW_YORK)
    found = list(rrulestr(rule, dtstart=first))
    assert [each.date() for each in found] == days(expected, first.year)
    assert {each.time() for each in found} == {time(9)}


def test_an_excluded_start_is_no_occurrence() -> None:
    # RFC 5545, section 3.8.5.3, "Every Friday the 13th, forever".
    first = datetime(1997, 9, 2, 9, tzinfo=NEW_YORK)
    every = rruleset()
    every.rrule(rrulestr("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", dtstart=first))
    every.rdate(first)
    every.exdate(first)
    found = [each.date() for each in every.between(first, datetime(2000, 12, 31, tzinfo=NEW_YORK))]
    assert found == [
        date(1998, 2, 13),
        date(1998, 3, 13),
        date(1998, 11, 13),
        date(1999, 8, 13),
        date(2000, 10, 13),
    ]


def test_weeks_are_numbered_as_iso_8601_numbers_them() -> None:
    # RFC 5545, section 3.8.5.3, "Monday of week number 20"; week years by ISO 8601.
    first = datetime(1997, 5, 12, 9, tzinfo=NEW_YORK)
    rule = rrulestr("FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO;COUNT=3", dtstart=first)
    assert [each.date() for each in rule] == [
        date(1997, 5, 12),
        date(1998, 5, 11),
        date(1999, 5, 17),
    ]
    for day, week in (
        (date(2005, 1, 1), (2004, 53, 6)),
        (date(2007, 12, 31), (2008, 1, 1)),
        (date(2010, 1, 3), (2009, 53, 7)),
        (date(2026, 12, 31), (2026, 53, 4)),
        (date(2027, 1, 4), (2027, 1, 1)),
    ):
        assert tuple(day.isocalendar()) == week


def test_a_time_that_happens_twice_or_never_is_read_as_the_standard_says() -> None:
    # RFC 5545, section 3.3.5: the first of two; the offset before the gap.
    club = ClubCalendar(NEW_YORK)
    assert club.instant(date(2007, 11, 4), time(1, 30)) == datetime(2007, 11, 4, 5, 30, tzinfo=UTC)
    assert club.instant(date(2007, 3, 11), time(2, 30)) == datetime(2007, 3, 11, 7, 30, tzinfo=UTC)


def test_every_week_keeps_its_hour_on_the_wall_when_the_clocks_change() -> None:
    # The standard's "weekly for 10 occurrences": nine o'clock in summer time, then in winter time.
    first = window(date(1997, 9, 2), "09:00", "10:30", NEW_YORK)
    found = weekly(first, date(1997, 11, 4), ClubCalendar(NEW_YORK))
    expected = days("Sep 2 9 16 23 30 Oct 7 14 21 28 Nov 4", 1997)
    assert found.windows == tuple(window(day, "09:00", "10:30", NEW_YORK) for day in expected)
    assert [each.start.hour for each in found.windows] == [13] * 8 + [14] * 2
    assert found.skipped == ()


@pytest.mark.parametrize(
    ("zone", "first", "hours"),
    [
        # Fridays at 17:00 local, over the change of 2026, by tzdata.
        ("Europe/Dublin", date(2026, 10, 16), [16, 16, 17, 17]),
        ("Australia/Hobart", date(2026, 9, 25), [7, 7, 6, 6]),
        ("America/New_York", date(2026, 10, 23), [21, 21, 22, 22]),
    ],
)
def test_over_a_change_in_autumn_or_spring_only_the_instant_moves(
    zone: str, first: date, hours: list[int]
) -> None:
    here = ZoneInfo(zone)
    found = weekly(window(first, "17:00", "18:00", here), first + 21 * DAY, ClubCalendar(here))
    assert [each.start.hour for each in found.windows] == hours


def test_closed_days_are_left_out_and_listed_with_their_reason() -> None:
    club = ClubCalendar(
        DUBLIN,
        closures=(
            Closure(date(2026, 10, 26), date(2026, 10, 30), "mid-term"),
            Closure(date(2026, 11, 12), date(2026, 11, 12)),
        ),
    )
    first = window(date(2026, 10, 15), "15:30", "17:00", DUBLIN)
    found = weekly(first, date(2026, 11, 19), club)
    assert [each.start.date() for each in found.windows] == days("Oct 15 22 Nov 5 19", 2026)
    assert found.skipped == ((date(2026, 10, 29), "mid-term"), (date(2026, 11, 12), ""))


def test_the_last_day_counts_and_a_last_day_before_the_first_leaves_nothing() -> None:
    first = window(date(2026, 10, 15), "15:30", "17:00", DUBLIN)
    club = ClubCalendar(DUBLIN)
    assert len(weekly(first, date(2026, 10, 22), club).windows) == 2
    assert len(weekly(first, date(2026, 10, 21), club).windows) == 1
    assert weekly(first, date(2026, 10, 14), club).windows == ()


def test_a_window_that_the_clock_change_swallows_is_listed_not_invented() -> None:
    # In spring 2026 the clocks of Dublin go from 01:00 to 02:00 on 29 March.
    first = window(date(2026, 3, 22), "01:30", "02:15", DUBLIN)
    found = weekly(first, date(2026, 4, 5), ClubCalendar(DUBLIN))
    assert found.skipped == ((date(2026, 3, 29), "the clocks change"),)
    assert len(found.windows) == 2


@given(
    zone=st.sampled_from(["Europe/Dublin", "America/New_York", "Australia/Lord_Howe", "UTC"]),
    start=st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)),  # noqa: DTZ001
    minutes=st.integers(1, 3 * 24 * 60),
    weeks=st.integers(0, 60),
    shut=st.sets(st.integers(0, 60), max_size=8),
)
def test_any_week_is_booked_once_or_listed_once(
    zone: str, start: datetime, minutes: int, weeks: int, shut: set[int]
) -> None:
    here = ZoneInfo(zone)
    begins = start.replace(second=0, microsecond=0, tzinfo=here).astimezone(UTC)
    first = Window(begins, begins + timedelta(minutes=minutes))
    day = begins.astimezone(here).date()
    closed = tuple(Closure(day + 7 * DAY * week, day + 7 * DAY * week, "shut") for week in shut)
    found = weekly(first, day + 7 * DAY * weeks, ClubCalendar(here, closures=closed))
    starts = [each.start.astimezone(here) for each in found.windows]
    by_day = [each.date() for each in starts] + [each for each, _ in found.skipped]
    assert sorted(by_day) == [day + 7 * DAY * week for week in range(weeks + 1)]
    skipped = {each for each, why in found.skipped if why == "shut"}
    assert skipped == {day + 7 * DAY * week for week in shut if week <= weeks}
