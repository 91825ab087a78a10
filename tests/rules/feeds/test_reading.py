"""What is read out of a school's calendar: closed days, gaps between terms, or a plain trouble."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.feeds import FeedRead, Trouble, read_feed
from clubbot.rules.feeds.words import meaning
from tests.rules.feeds.calendars import calendar, event
from tests.rules.test_repeats import days

DUBLIN = ZoneInfo("Europe/Dublin")
TODAY = date(2026, 10, 1)
TITLES = [
    line.split(" | ")
    for line in (Path(__file__).parent / "titles.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
]


def closed(text: str, zone: str = "Europe/Dublin", today: date = TODAY) -> list[str]:
    """Say what is taken as closed, as "26.10.-30.10. mid-term break"."""
    read = read_feed(text, ZoneInfo(zone), today)
    assert isinstance(read, FeedRead)
    return [
        f"{each.first_day:%d.%m.}-{each.last_day:%d.%m.} {each.why}"
        for each in read.found
        if each.sure
    ]


def doubtful(text: str) -> list[str]:
    read = read_feed(text, DUBLIN, TODAY)
    assert isinstance(read, FeedRead)
    return [each.why for each in read.found if not each.sure]


@pytest.mark.parametrize(("length", "title", "means"), TITLES)
def test_a_title_means_what_a_school_means_by_it(length: str, title: str, means: str) -> None:
    assert meaning(title, int(length)) == means


def test_whole_days_that_say_so_are_closed_and_nothing_else_is() -> None:
    text = calendar(
        event("Mid-term break", "20261026", "20261031"),
        event("Staff day, no school", "20261112"),
        event("Book fair", "20261113"),
        event("Holiday concert", "20261217T190000Z", "20261217T210000Z"),
    )
    assert closed(text) == ["26.10.-30.10. Mid-term break", "12.11.-12.11. Staff day, no school"]


def test_what_is_over_or_far_away_is_left_out_and_what_runs_now_stays() -> None:
    text = calendar(
        event("Summer holidays", "20260627", "20260831"),
        event("Closed for repairs", "20260928", "20261003"),
        event("Christmas holidays", "20281219", "20290105"),
    )
    assert closed(text) == ["28.09.-02.10. Closed for repairs"]


# RFC 5545, section 3.8.5.3, on whole days; its Fridays the 13th leave out their start (EXDATE).
@pytest.mark.parametrize(
    ("start", "rules", "expected"),
    [
        ("19970902", ["RRULE:FREQ=WEEKLY;COUNT=10"], "Sep 2 9 16 23 30 Oct 7 14 21 28 Nov 4"),
        (
            "19970902",
            ["RRULE:FREQ=WEEKLY;INTERVAL=2;WKST=SU;UNTIL=19980203"],
            "Sep 2 16 30 Oct 14 28 Nov 11 25 Dec 9 23 Jan 6 20 Feb 3",
        ),
        (
            "19970905",
            ["RRULE:FREQ=MONTHLY;COUNT=10;BYDAY=1FR"],
            "Sep 5 Oct 3 Nov 7 Dec 5 Jan 2 Feb 6 Mar 6 Apr 3 May 1 Jun 5",
        ),
        (
            "19970922",
            ["RRULE:FREQ=MONTHLY;COUNT=6;BYDAY=-2MO"],
            "Sep 22 Oct 20 Nov 17 Dec 22 Jan 19 Feb 16",
        ),
        (
            "19970902",
            ["EXDATE;VALUE=DATE:19970902", "RRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13;COUNT=4"],
            "Feb 13 Mar 13",
        ),
        (
            "19970805",
            ["RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO"],
            "Aug 5 10 19 24",
        ),
        (
            "19970805",
            ["RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU"],
            "Aug 5 17 19 31",
        ),
    ],
)
def test_repeats_are_those_of_the_standard(start: str, rules: list[str], expected: str) -> None:
    text = calendar(event("School closed", start, "", *rules))
    read = read_feed(text, ZoneInfo("America/New_York"), date(1997, 8, 1))
    assert isinstance(read, FeedRead)
    year = 1998 if expected.startswith("Feb") else 1997
    assert [each.first_day for each in read.found] == days(expected, year)


def test_one_of_a_series_that_was_moved_or_called_off_is_read_as_it_is_now() -> None:
    text = calendar(
        event(
            "Staff day: no school",
            "20261005",
            "",
            "RRULE:FREQ=WEEKLY;COUNT=4",
            uid="a",
        ),
        event("Staff day: no school", "20261013", "", "RECURRENCE-ID;VALUE=DATE:20261012", uid="a"),
        event("Staff meeting", "20261019", "", "RECURRENCE-ID;VALUE=DATE:20261019", uid="a"),
        event("Closed", "20261102", "", "STATUS:CANCELLED"),
    )
    assert [each[:6] for each in closed(text)] == ["05.10.", "13.10.", "26.10."]


def test_the_days_between_two_terms_are_closed() -> None:
    text = calendar(
        event("Last day of term", "20261218"),
        event("School reopens", "20270104"),
        event("Autumn term", "20260831", "20261219"),
        event("Spring term", "20270104", "20270326"),
    )
    assert closed(text) == ["19.12.-03.01. between terms"]


def test_a_named_break_stands_for_the_gap_that_it_fills() -> None:
    text = calendar(
        event("Term ends", "20261218"),
        event("Christmas holidays", "20261221", "20270102"),
        event("Term begins", "20270104"),
    )
    assert closed(text) == ["21.12.-01.01. Christmas holidays"]


def test_a_weekend_is_no_break_and_half_a_year_isnt_either() -> None:
    weekend = calendar(event("Quarter 1 ends", "20261106"), event("Quarter 2 begins", "20261109"))
    forgotten = calendar(event("Term ends", "20261218"), event("Term begins", "20270830"))
    assert closed(weekend) == closed(forgotten) == []


def test_a_short_entry_inside_a_long_one_is_not_said_twice() -> None:
    text = calendar(
        event("Christmas holidays", "20261221", "20270102"),
        event("Christmas Day", "20261225"),
    )
    assert closed(text) == ["21.12.-01.01. Christmas holidays"]


def test_times_close_a_day_only_if_they_cover_it() -> None:
    text = calendar(
        event("Mid-term break", "Europe/Dublin:20261023T123000", "Europe/Dublin:20261102T084500"),
        event("School closed", "Europe/Dublin:20261112T130000", "Europe/Dublin:20261112T160000"),
    )
    assert closed(text) == ["24.10.-01.11. Mid-term break"]
    assert doubtful(text) == ["School closed"]


def test_whole_days_written_as_midnights_are_the_same_days_in_any_zone() -> None:
    # Programs write whole days as midnight in UTC, or in the zone of the school.
    for start, end in (
        ("20261026T000000Z", "20261031T000000Z"),
        ("Australia/Hobart:20261026T000000", "Australia/Hobart:20261031T000000"),
        ("20261026", "20261031"),
    ):
        text = calendar(event("Mid-term break", start, end))
        assert closed(text, "Australia/Hobart") == ["26.10.-30.10. Mid-term break"]


def test_what_is_not_sure_is_shown_and_not_taken() -> None:
    text = calendar(event("Year 6: no school", "20261112"), event("St Patrick's Day", "20270317"))
    assert closed(text) == []
    assert doubtful(text) == ["Year 6: no school", "St Patrick's Day"]


def test_an_entry_keeps_its_key_as_long_as_its_words_and_first_day_stay() -> None:
    one, other, moved = (
        read_feed(calendar(text), DUBLIN, TODAY)
        for text in (
            event("Mid-term break", "20261026", "20261031", uid="a"),
            event("Mid Term  Break", "20261026", "20261101", uid="b"),
            event("Mid-term break", "20261102", "20261107", uid="a"),
        )
    )
    assert isinstance(one, FeedRead)
    assert isinstance(other, FeedRead)
    assert isinstance(moved, FeedRead)
    assert one.found[0].key == other.found[0].key != moved.found[0].key


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("", Trouble.NOT_A_CALENDAR),
        ("<html><body>Please sign in</body></html>", Trouble.NOT_A_CALENDAR),
        (calendar(event("Closed", "20261112"))[:-30], Trouble.CUT_OFF),
        (calendar(), Trouble.EMPTY),
        (calendar(event("Closed", "20261112")).replace("PRODID", "; PR"), Trouble.UNREADABLE),
        (
            calendar(event("Closed", "20261001", "", "RRULE:FREQ=DAILY;INTERVAL=1")),
            Trouble.TOO_MANY,
        ),
    ],
)
def test_what_is_no_good_calendar_is_a_trouble_with_a_name(text: str, trouble: Trouble) -> None:
    assert read_feed(text, DUBLIN, TODAY) is trouble


def test_what_repeats_within_a_day_is_never_worked_out() -> None:
    every_second = event("Closed", "20261001T000000", "", "RRULE:FREQ=SECONDLY")
    text = calendar(every_second, event("Mid-term break", "20261026", "20261031"))
    assert closed(text) == ["26.10.-30.10. Mid-term break"]


def test_an_entry_with_a_broken_date_spoils_no_other() -> None:
    text = calendar(event("Closed", "2026xx12"), event("Mid-term break", "20261026", "20261031"))
    assert closed(text) == ["26.10.-30.10. Mid-term break"]


_LINES = st.sampled_from(
    [
        "BEGIN:VEVENT", "END:VEVENT", "BEGIN:VTIMEZONE", "END:VTIMEZONE", "UID:1", "UID:2",
        "SUMMARY:School closed", "SUMMARY:Term ends", "DTSTART;VALUE=DATE:20261026",
        "DTSTART:20261026T090000", "DTSTART;TZID=Nowhere/Else:20261026T090000",
        "DTEND;VALUE=DATE:20261020", "DTEND:20261031T000000Z", "RRULE:FREQ=WEEKLY;COUNT=3",
        "RRULE:FREQ=NEVER", "RRULE:BYDAY=MO", "RECURRENCE-ID;VALUE=DATE:20261102", "DURATION:P3D",
        "EXDATE:20261102", "RDATE;VALUE=PERIOD:20261102T000000Z/P1D", "X", ":", " folded", "\x00",
    ]
)  # fmt: skip


@given(st.lists(_LINES, max_size=14))
def test_any_lines_at_all_end_in_days_or_in_a_trouble(lines: list[str]) -> None:
    text = "\r\n".join(["BEGIN:VCALENDAR", *lines, "END:VCALENDAR", ""])
    read = read_feed(text, DUBLIN, TODAY)
    assert isinstance(read, FeedRead | Trouble)
    if isinstance(read, FeedRead):
        assert all(TODAY <= each.last_day >= each.first_day for each in read.found)
