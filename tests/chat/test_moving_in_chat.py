"""A session held at another time, as a leader says it and the others read it."""

from __future__ import annotations

from tests.chat.played import Club


async def test_a_leader_moves_a_session_in_one_line_and_back_with_a_button(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Nora", "/move friday to thu 22 oct 16:00-17:30: the hall is let")
    moved = club.answers(
        "Nora",
        "The session is Thu 22 Oct, 16:00 to 17:30 this once, not tomorrow, 15:30 to 17:00",
        "because the hall is let",
        "1 booking went along. Those concerned are told.",
    )
    assert moved.buttons == ["Move it back"]
    club.answers("Sam", "because the hall is let", "Booking 1 for Red goes along: 2 kits")
    club.answers("Owen", "The session is Thu 22 Oct")
    club.hears_nothing("Bea")
    await club.says("Sam", "/mine")
    club.answers("Sam", "1: Thu 22 Oct, 16:00 to 17:30")
    await club.presses("Nora", "Move it back")
    club.answers("Nora", "tomorrow, 15:30 to 17:00 this once, not Thu 22 Oct, 16:00 to 17:30")
    await club.says("Sam", "/mine")
    club.answers("Sam", "1: tomorrow, 15:30 to 17:00")


async def test_what_cannot_go_along_is_one_tap_from_what_would_be_possible(club: Club) -> None:
    await club.says("Nora", "/book 7 kits for Blue thu 22 oct 16:00-17:30")
    await club.says("Sam", "/book 3 kits fri 15:30 to 17:00")
    await club.says("Nora", "/move 16 Oct to 22 Oct 16:00")
    moved = club.answers("Nora", "Not these, which stand as they were", "1 kit could go along")
    assert moved.buttons == ["2 along with 1 kit", "Move it back"]
    club.answers("Sam", "Booking 2 for Red can't go along as it is. Up to 1 kit could be had then")
    await club.presses("Nora", "2 along with 1 kit")
    club.sees("Nora", "Changed: 2: Thu 22 Oct, 16:00 to 17:30, 1 kit for Red")
    club.sees("Sam", "Booking 2 for Red goes along: 1 kit")


async def test_a_line_that_cannot_be_read_is_answered_with_one_that_can(club: Club) -> None:
    await club.says("Nora", "/move")
    club.answers("Nora", "Such as: /move thu to fri 16:00-17:30")
    await club.says("Nora", "/move fri to mon 16:30-17:00")
    club.answers("Nora", "There is a session already: Mon 19 Oct, 16:00 to 17:30")
    await club.says("Sam", "/move fri to sat")
    club.answers("Sam", "You can't")
