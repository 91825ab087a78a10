"""Versions: which is newer, what people type of them, and days on which nobody is told of them."""

from __future__ import annotations

from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from packaging.version import Version

from clubbot.rules.calendar import ClubCalendar, Meeting
from clubbot.rules.model import Window
from clubbot.rules.settings import ClubSettings, read_setting
from clubbot.rules.version_numbers import older, read_version, same
from clubbot.rules.versions import (
    Agree,
    Event,
    EventSaid,
    Noting,
    Standing,
    events,
    notice_due,
    notice_moments,
    read,
    standing,
)

NUMBERS = st.lists(st.integers(0, 30), min_size=1, max_size=4)
DOTTED = st.builds(
    lambda v, parts: v + ".".join(map(str, parts)), st.sampled_from(["", "v"]), NUMBERS
)
OTHERS = st.sampled_from(["3.2-beta", "spring", "2026a", "3_2", "x"])
ZONE = ZoneInfo("Europe/Dublin")
DAY = timedelta(days=1)


@given(DOTTED, DOTTED)
def test_dotted_numbers_are_ordered_as_release_numbers_are(one: str, other: str) -> None:
    """PEP 440 (Python packaging), "Final releases", as the library `packaging` compares them."""
    assert older(one, other) == (Version(one) < Version(other))
    assert same(one, other) == (Version(one) == Version(other))


@given(DOTTED | OTHERS, DOTTED | OTHERS, DOTTED | OTHERS)
def test_of_two_versions_one_is_older_or_they_are_the_same_or_nobody_knows(
    one: str, other: str, third: str
) -> None:
    assert older(one, other) + older(other, one) + same(one, other) <= 1
    if older(one, other) and older(other, third):
        assert older(one, third)
    if same(one, other):
        assert standing(one, third) == standing(other, third)


def test_the_tenth_release_is_newer_than_the_ninth_and_words_are_only_the_same_or_not() -> None:
    assert standing("3.9", "3.10") is Standing.BEHIND
    assert standing("3.10", "3.9") is Standing.NEWER
    assert standing("v3.2.0", "3.2") is Standing.AGREED
    assert standing("Spring", "spring") is Standing.AGREED
    assert standing("autumn", "spring") is Standing.OTHER
    assert standing("", "3.2") is Standing.UNKNOWN


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("agree unit 3.2", Agree("unit", "3.2")),
        ("Agreed tablets none", Agree("tablet", "")),
        ("D 3.2", Noting("unit", "D", "3.2")),
        ("tablet D F  7.1", Noting("tablet", "D F", "7.1")),
        ("all units 3.1 yes", Noting("unit", "all", "3.1", sure=True)),
        (
            "event 20 Nov to 27 Nov: city cup",
            EventSaid("20 Nov to 27 Nov", "city cup"),
        ),
        ("event off", EventSaid("")),
        ("D F", None),
        ("3.2", None),
        ("D 3.2\u0663", None),
        ("", None),
    ],
)
def test_what_is_typed_of_versions_is_read(text: str, meant: object) -> None:
    assert read(text) == meant


def test_a_version_as_a_setting_is_one_word() -> None:
    changed = read_setting(ClubSettings(), "unit version 3.2")
    assert not isinstance(changed, str)
    assert changed[0].unit_version == "3.2"
    assert isinstance(read_setting(ClubSettings(), "unit version <b>3</b>"), str)
    assert read_version("3" * 21) is None


MEETINGS = st.lists(st.integers(0, 6), max_size=7, unique=True)


@given(
    MEETINGS,
    st.dates(date(2026, 1, 5), date(2027, 12, 20)),
    st.integers(0, 6),
    st.lists(st.tuples(st.integers(-20, 30), st.integers(0, 10)), max_size=3),
)
def test_nobody_is_told_on_a_sessions_day_nor_near_an_event(
    weekdays: list[int], today: date, charge_day: int, near: list[tuple[int, int]]
) -> None:
    meetings = tuple(
        Meeting(n, "", day, time(16), time(17), None) for n, day in enumerate(weekdays)
    )
    calendar = ClubCalendar(ZONE, meetings)
    known = [Event(today + n * DAY, today + (n + more) * DAY, "cup") for n, more in near]
    settings = ClubSettings(
        unit_version="3.2",
        charge_list_weekday=charge_day,
        events=tuple(each.stored() for each in known),
    )
    assert sorted(events(settings), key=repr) == sorted(known, key=repr)
    due = notice_due(today, calendar, settings)
    monday = today - today.weekday() * DAY
    if due is None:
        assert known or len(weekdays) == 7
        return
    day = calendar.day_of(due.at)
    assert day.weekday() not in weekdays
    assert not any(e.first - 7 * DAY <= day <= e.last for e in known)
    assert 0 <= (day - (monday + charge_day * DAY)).days < 7
    # It is of no use any more once the next session's day begins.
    while day < calendar.day_of(due.useful_until):
        assert day.weekday() not in weekdays
        day += DAY
    span = Window(due.at - DAY, due.at + DAY)
    assert due.at in notice_moments(span, calendar, settings)
