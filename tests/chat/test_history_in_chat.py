"""Who did what to a kit, in chat: shown in pages, and put right entry by entry."""

from __future__ import annotations

from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


async def lived(club: Club) -> None:
    """A goes out to Red, on to Blue, and back; it is charged and put out of use."""
    await club.at(FRIDAY)
    await club.says("Hana", "/out A Red")
    await club.at("2026-10-16 16:00")
    await club.says("Hana", "/pass A Blue")
    await club.at("2026-10-16 17:00")
    await club.says("Nora", "/back A")
    await club.says("Nora", "/charged A")
    await club.says("Hana", "/withdraw A: bent <axle>")


async def test_a_kits_history_says_what_happened_and_to_adults_who_said_it(club: Club) -> None:
    await club.says("Hana", "/history A")
    club.answers("Hana", "Nothing is noted of A yet.")
    await lived(club)
    await club.says("Nora", "/history A")
    seen = club.answers(
        "Nora",
        "A: 1 to 5 of 5, the newest first",
        "1. Today 17:00 put out of use (bent <axle>). Hana",
        "2. Today 17:00 charged. Nora",
        "3. Today 17:00 taken back. Nora",
        "4. Today 16:00 passed on to Blue, until 17:00. Hana",
        "5. Today 15:30 given out with Red, until 17:00. Hana",
    )
    assert seen.buttons == ["1", "2", "3", "4", "5"]
    await club.says("Hana", "/history A")
    mine = club.answers("Hana", "3. Today 17:00 taken back")
    assert "Nora" not in mine.text
    assert "axle" not in mine.text
    assert mine.buttons == ["1", "4", "5"]
    await club.says("Sam", "/history A")
    club.answers("Sam", "You can't see what happened to a kit here")


async def test_what_came_after_keeps_a_giving_out_from_being_undone(club: Club) -> None:
    await club.at(FRIDAY)
    await club.says("Hana", "/out A Red")
    await club.at("2026-10-16 16:00")
    await club.says("Nora", "/back A")
    await club.says("Nora", "/history A")
    await club.presses("Nora", "2")
    asked = club.answers("Nora", "A: Today 15:30 given out with Red", "Wasn't it so?")
    assert asked.buttons == ["It wasn't so", "Back to the list"]
    await club.presses("Nora", "It wasn't so")
    club.answers("Nora", "A was taken back today 16:00, after that. Take that back first.")


async def test_each_entry_is_put_right_and_may_stand_again(club: Club) -> None:
    await lived(club)
    await club.says("Nora", "/history A")
    await club.presses("Nora", "1")
    await club.presses("Nora", "It wasn't so")
    club.sees("Nora", "Put right: A put out of use (bent <axle>)", "wasn't so")
    await club.says("Hana", "/kit A")
    assert "Out of use" not in club.answers("Hana", "On its shelf").text
    await club.presses("Nora", "Back to the list")
    club.answers("Nora", "1. Today 17:00 put out of use (bent <axle>). Hana Not so: Nora, 17:00")
    await club.presses("Nora", "1")
    await club.presses("Nora", "It was so after all")
    club.sees("Nora", "stands again")
    await club.says("Nora", "/kit A")
    club.answers("Nora", "Out of use: bent <axle>")


async def test_a_return_that_was_not_so_leaves_the_kit_with_its_team_and_booking(
    club: Club,
) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.at(FRIDAY)
    await club.says("Hana", "/out")
    await club.at("2026-10-16 16:30")
    await club.says("Hana", "/back A B")
    await club.says("Nora", "/history B")
    await club.presses("Nora", "1")
    await club.presses("Nora", "It wasn't so")
    await club.says("Hana", "/kit B")
    club.answers("Hana", "Out with Red until 17:00")
    await club.says("Sam", "/free")
    club.answers("Sam", "6 of 8 kits free today")
    await club.says("Nora", "/history B")
    await club.presses("Nora", "1")
    await club.presses("Nora", "It was so after all")
    await club.says("Sam", "/free")
    club.answers("Sam", "8 of 8 kits free today")


async def test_a_helper_corrects_what_is_their_own_only(club: Club) -> None:
    await lived(club)
    await club.says("Hana", "/history A")
    await club.sends_data("Hana", "v1:notso:1:3")
    club.sees("Hana", "That isn't yours")
    await club.presses("Hana", "4")
    await club.presses("Hana", "It wasn't so")
    club.sees("Hana", "Put right: A passed on to Blue")


async def test_a_long_history_is_leafed_through(club: Club) -> None:
    for _ in range(7):
        await club.says("Nora", "/withdraw C")
        await club.says("Nora", "/restore C")
    await club.says("Nora", "/history C")
    assert club.answers("Nora", "C: 1 to 6 of 14").buttons[-1] == "Older"
    await club.presses("Nora", "Older")
    assert club.answers("Nora", "C: 7 to 12 of 14").buttons[-2:] == ["Newer", "Older"]
    await club.presses("Nora", "Older")
    assert club.answers("Nora", "C: 13 to 14 of 14").buttons[-1] == "Newer"
