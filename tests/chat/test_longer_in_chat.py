"""A team needs its kits longer: at once while an adult is there, else a leader decides."""

from __future__ import annotations

from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


async def out(club: Club, until: str = "16:30") -> None:
    """A and B are out with Red on Friday from 15:30; the session runs to 17:00."""
    await club.says("Sam", f"/book 2 kits fri 15:30 to {until}")
    await club.at(FRIDAY)
    await club.says("Hana", "/out")


async def test_while_an_adult_is_there_a_team_has_its_kits_longer_by_two_taps(club: Club) -> None:
    await out(club)
    await club.at("2026-10-16 16:20")
    soon = club.sees("Sam", "Kits A and B: due back at 16:30")
    assert soon.buttons == ["Needs longer"]
    await club.presses("Sam", "Needs longer")
    offered = club.answers("Sam", "Kits A and B: due 16:30. Until when do you need them?")
    assert offered.buttons == ["Until 16:45", "Until 17:00"]
    await club.presses("Sam", "Until 17:00")
    club.answers("Sam", "Kits A and B for Red are due 17:00 now.")
    await club.says("Bea", "/free fri 16:40 to 17:00")
    club.answers("Bea", "6 of 8 kits free")
    await club.at("2026-10-16 17:14")
    assert "still shown as out" not in club.all_said("Nora")
    await club.at("2026-10-16 17:15")
    club.sees("Nora", "2 kits are still shown as out")


async def test_when_no_adult_is_there_a_leader_decides(club: Club) -> None:
    await out(club, "17:00")
    await club.at("2026-10-16 16:55")
    await club.says("Sam", "/longer")
    asked = club.answers("Sam", "No adult is noted as there after that. Ask a leader?")
    assert asked.buttons == ["Until 17:30"]
    await club.presses("Sam", "Until 17:30")
    club.answers("Sam", "An adult is asked: kits A and B until 17:30")
    wanted = club.sees("Nora", "Kits A and B for Red: needed until 17:30, not 17:00", "Yes or no?")
    assert wanted.buttons == ["Yes", "No"]
    await club.presses("Nora", "Yes")
    club.sees("Nora", "are due 17:30 now")
    club.sees("Sam", "Kits A and B: an adult says yes, until 17:30.")
    await club.presses("Owen", "No")
    club.answers("Owen", "out of date")
    await club.at("2026-10-16 17:30")
    assert "still shown as out" not in club.all_said("Nora")


async def test_a_leaders_no_leaves_the_time_as_it_was(club: Club) -> None:
    await out(club, "17:00")
    await club.at("2026-10-16 16:55")
    await club.says("Sam", "we need them until 17:20, a bit longer")
    club.answers("Sam", "An adult is asked")
    await club.presses("Owen", "No")
    club.sees("Owen", "Kits A and B for Red are due 17:00, as before. They are told.")
    club.sees("Sam", "an adult says no to longer")
    await club.at("2026-10-16 17:15")
    club.sees("Nora", "2 kits are still shown as out")


async def test_what_others_have_next_is_exchanged_or_stands_in_the_way(club: Club) -> None:
    await out(club, "16:15")
    await club.says("Bea", "/book 5 kits fri 16:15 to 17:00")
    await club.says("Bea", "/book kit A fri 16:15 to 17:00")
    await club.at("2026-10-16 16:10")
    await club.says("Sam", "/longer A 16:45")
    club.answers("Sam", "A and B can't be had today, 16:15 to 16:45")
    await club.says("Sam", "/longer")
    club.answers("Sam", "Longer can't be: others have them next. Please bring them back.")


async def test_hours_in_the_calendar_count_and_an_adult_needs_nobodys_yes(club: Club) -> None:
    await club.says("Nora", "/hours Fri 15:00-18:00")
    await out(club, "17:00")
    await club.at("2026-10-16 16:58")
    await club.says("Bea", "/longer A")
    club.answers("Bea", "That isn't yours")
    await club.says("Sam", "/longer 17:30")
    club.answers("Sam", "are due 17:30 now")
    await club.says("Nora", "/longer Red 18:30")
    club.answers("Nora", "are due 18:30 now")
    await club.says("Nora", "/undo")
    club.answers("Nora", "Undone: A and B due later")
    await club.says("Hana", "/kit A")
    club.answers("Hana", "Out with Red until 17:30")
    await club.says("Sam", "/longer C")
    club.answers("Sam", "C isn't out.")
