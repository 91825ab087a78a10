"""A tablet with another kit's unit, and from group to group at the door."""

from __future__ import annotations

from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


async def test_a_mix_goes_out_as_it_is_and_is_asked_about_when_it_is_back(club: Club) -> None:
    await club.at(FRIDAY)
    await club.says("Hana", "/out D with tablet F Red")
    club.answers("Hana", "Out: D with Red, until 17:00.", "F's tablet is with D; it is asked about")
    await club.says("Hana", "/today")
    club.sees("Hana", "D has the tablet of F")
    await club.says("Hana", "/out F Blue")
    club.answers("Hana", "Out: F with Blue", "F's tablet is with D")
    await club.at("2026-10-16 16:50")
    await club.says("Hana", "/back D")
    back = club.answers("Hana", "Back: D.", "D went with F's tablet. Each in its own kit again?")
    assert {"Tablet F apart", "Not yet"} <= set(back.buttons)
    await club.presses("Hana", "Tablet F apart")
    club.sees("Hana", "unit D and tablet F are back with their own kits")
    await club.says("Hana", "/back F")
    assert "tablet" not in club.answers("Hana", "Back: F.").text
    await club.at("2026-10-16 17:30")
    assert "with its own kit?" not in club.all_said("Nora")


async def test_a_mix_said_in_a_sentence_is_asked_about_in_the_evening(club: Club) -> None:
    await club.at(FRIDAY)
    await club.says("Hana", "/out D F Red")
    await club.says("Hana", "D has F's tablet")
    club.answers("Hana", "Noted: unit D with tablet F")
    await club.says("Hana", "tablet E with unit D")
    club.answers("Hana", "Noted: unit D with tablet E")
    await club.at("2026-10-16 17:15")
    asked = club.sees("Nora", "unit D with tablet E. Is each back with its own kit?")
    assert "tablet F. Is" not in asked.text
    await club.says("Hana", "/out D with tablet Q Red")
    club.answers("Hana", "There is no kit Q here")
    await club.says("Sam", "D has F's tablet")
    assert "Noted" not in club.sees("Sam", "").text


async def test_all_that_a_group_has_goes_on_to_the_next_with_a_short_look(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 16:15")
    await club.at(FRIDAY)
    await club.says("Hana", "/out")
    await club.at("2026-10-16 16:15")
    await club.says("Hana", "/pass Red to Blue")
    passed = club.answers("Hana", "Passed on: A and B to Blue, until 17:00", "A short look")
    assert passed.buttons == ["A: wrong", "B: wrong", "Undo"]
    await club.presses("Hana", "A: wrong")
    club.sees("Hana", "What is wrong with kit A?")
    await club.says("Hana", "a wheel is loose")
    club.sees("Hana", "kit A, broken part")
    await club.says("Hana", "/kit A")
    club.answers("Hana", "Out with Blue until 17:00")
    await club.says("Hana", "/pass Red to Green")
    club.answers("Hana", "Red has nothing now.")
    await club.says("Hana", "/pass B Green")
    club.answers("Hana", "Passed on: B to Green")
    await club.says("Hana", "/history B")
    club.answers("Hana", "1. Today 16:15 passed on to Green", "2. Today 16:15 passed on to Blue")
