"""Meetings that go by a name: given at set-up, and booked by it."""

from __future__ import annotations

import pytest

from clubbot.desk import booking, moving, questions, talk
from clubbot.rules.results import Booked, BookedWeekly, SessionMoved
from tests.desk.scene import Club

MEETINGS = "Thursday club: Thu 15:30-17:00, Robotics A: Fri 16:00-17:30, Mon 4-5pm"


@pytest.fixture
def named(club: Club) -> Club:
    """The club with two of its three meetings named; it is Thursday noon."""
    club.leader(questions.set_up, "meetings")
    club.leader(talk.hear, MEETINGS, True)
    return club


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Robotics A: Fri 4-5", "Robotics A"),
        ("Robotics A Fri 16:00-17:00", "Robotics A"),
        ("Fri 4-5pm (Robotics A)", "Robotics A"),
        ("Fri 4-5pm Robotics A", "Robotics A"),
        ("Friday club 4-5pm", "Friday club"),
        ("Science and Robotics: Fri 4-5", "Science and Robotics"),
        ("every Friday 4 to 5", ""),
        ("Fri: 16:00-17:00", ""),
    ],
)
def test_a_meeting_is_named_in_the_line_that_sets_it(club: Club, text: str, name: str) -> None:
    club.leader(questions.set_up, "meetings")
    (meeting,) = club.leader(talk.hear, text, True).club.meetings
    shown = (meeting.weekday, meeting.starts, meeting.ends, meeting.name)
    assert shown == (4, "16:00", "17:00", name)


@pytest.mark.parametrize(
    ("text", "start", "count"),
    [
        ("2 kits for Thursday club", "2026-10-01 15:30", 2),
        ("3 kits at robotics a", "2026-10-02 16:00", 3),
        ("2 kits for Robotics A next week", "2026-10-09 16:00", 2),
        ("2 kits for Robotics A on 16 Oct", "2026-10-16 16:00", 2),
        ("Robotics A 16:30 to 17:00, 2 kits", "2026-10-02 16:30", 2),
    ],
)
def test_a_meeting_is_booked_by_its_name_and_no_word_of_it_is_a_label(
    named: Club, text: str, start: str, count: int
) -> None:
    booked = named.student(booking.request, text)
    assert isinstance(booked, Booked), booked
    made = booked.booking
    assert (made.window.start, made.count, made.named) == (named.at(start), count, False)


@pytest.mark.parametrize(
    "text",
    [
        "2 kits at Robotics A until 23 Oct",
        "2 kits every Robotics A until 23 Oct",
        "2 kits for Robotics A every week until 23 Oct",
    ],
)
def test_a_named_meeting_is_booked_every_week_until_a_date(named: Club, text: str) -> None:
    weekly = named.student(booking.request, text)
    assert isinstance(weekly, BookedWeekly), weekly
    days = [f"{each.window.start:%d}" for each in weekly.bookings]
    assert days == ["02", "09", "16", "23"]


def test_until_the_end_of_term_is_every_week_and_says_how_far_that_was_taken(named: Club) -> None:
    weekly = named.student(booking.request, "3 kits at Robotics A until end of term")
    assert isinstance(weekly, BookedWeekly)
    assert weekly.until_guessed
    assert {each.count for each in weekly.bookings} == {3}


def test_a_meeting_called_like_a_team_still_means_the_team(club: Club) -> None:
    club.leader(questions.set_up, "meetings")
    club.leader(talk.hear, "Red: Fri 16:00-17:30", True)
    booked = club.leader(booking.request, "2 kits for Red")
    assert isinstance(booked, Booked), booked
    assert booked.booking.team is not None
    assert booked.booking.team.name == "Red"


def test_a_session_is_moved_by_its_name_and_keeps_it(named: Club) -> None:
    named.student(booking.request, "2 kits for Robotics A")
    moved = named.leader(moving.move_session, "Robotics A to saturday 10:00-11:30")
    assert isinstance(moved, SessionMoved)
    assert moved.name == "Robotics A"
    assert [each.window.start for each in moved.along] == [named.at("2026-10-03 10:00")]
