"""A walk through the store room in chat: kit by kit, interrupted, taken over, and put right."""

from __future__ import annotations

from clubbot.rules.model import ClubId
from clubbot.store import kits, ledger
from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


def differences(club: Club) -> list[str]:
    with club.store.read() as tx:
        return ledger.audit(tx, ClubId(1))


async def out(club: Club) -> None:
    """A and B are out with Red, since Friday 15:30."""
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.at(FRIDAY)
    await club.says("Hana", "/out")
    await club.at("2026-10-16 16:40")


async def test_a_walk_ends_with_its_differences_and_one_yes_puts_the_books_right(
    club: Club,
) -> None:
    await out(club)
    await club.says("Hana", "/stocktake")
    first = club.answers("Hana", "Stocktake, 0 of 8 done. Next: A", "By the books: out with Red.")
    assert first.buttons == ["There", "Not there", "There, but different", "Later", "That's all"]
    await club.presses("Hana", "There")
    step = club.answers("Hana", "1 of 8 done. Next: B", "out with Red")
    assert step.message is first.message
    await club.presses("Hana", "Not there")
    await club.presses("Hana", "Not there")
    for _ in "DEFGH":
        await club.presses("Hana", "There")
    end = club.answers(
        "Hana",
        "8 of 8 looked at",
        "A: there, by the books out with Red. Then it is taken back",
        "C: not there, by the books on its shelf. Then it is out of use until it turns up",
    )
    assert end.message is first.message
    assert "B" not in end.text.partition("books")[2].replace("books", "")
    assert end.buttons == ["Yes, put the books right", "A again", "C again"]
    await club.says("Hana", "/kit C")
    club.answers("Hana", "On its shelf.")
    await club.presses("Hana", "Yes, put the books right")
    club.sees("Hana", "Stocktake finished", "A: there", "Not found: C. An adult decides")
    await club.says("Nora", "/kit C")
    club.answers("Nora", "Out of use: not found at stocktaking")
    await club.says("Hana", "/back")
    club.answers("Hana", "Out now", "B with Red")
    await club.says("Hana", "/undo")
    club.sees("Hana", "Undone: A taken back and C put out of use")
    assert differences(club) == []


async def test_a_kit_that_turns_up_at_the_next_walk_is_in_use_again(club: Club) -> None:
    await club.says("Nora", "/stocktake")
    await club.presses("Nora", "Not there")
    await club.presses("Nora", "That's all")
    club.answers("Nora", "1 of 8 looked at", "Not yet: B, C", "A: not there")
    await club.presses("Nora", "Yes, put the books right")
    await club.says("Nora", "/lost B: the van")
    await club.says("Nora", "/stocktake")
    club.answers("Nora", "Next: A", "on its shelf, not in use: not found at stocktaking")
    await club.presses("Nora", "There")
    club.answers("Nora", "Next: B", "By the books: lost")
    await club.presses("Nora", "There")
    await club.presses("Nora", "That's all")
    club.answers("Nora", "A: there. Then it is in use again", "B: there, by the books lost")
    await club.presses("Nora", "Yes, put the books right")
    await club.says("Nora", "/lost")
    club.answers("Nora", "Nothing is")
    await club.says("Nora", "/out A B Red")
    club.sees("Nora", "Out: A and B with Red")
    assert differences(club) == []


async def test_a_walk_that_was_interrupted_is_taken_over_where_it_stands(club: Club) -> None:
    await club.says("Hana", "/stocktake")
    began = club.answers("Hana", "Next: A").message
    await club.presses("Hana", "There")
    await club.presses("Hana", "Later")
    club.answers("Hana", "1 of 8 done. Next: C")
    await club.at("2026-10-15 12:30")
    await club.restart()
    await club.says("Owen", "/stocktake")
    stands = club.answers("Owen", "A stocktake goes on: 1 of 8 done. Hana was at it last")
    assert stands.buttons == ["Take it over", "Begin anew"]
    await club.presses("Owen", "Take it over")
    club.answers("Owen", "1 of 8 done. Next: B")
    assert club.sees("Hana", "goes on in another message", how="edit").message is began
    await club.sends_data("Hana", "v1:stock:3:gone")
    club.sees("Hana", "A stocktake goes on: 1 of 8 done. Owen was at it last")
    for _ in "BCDEFGH":
        await club.presses("Owen", "There")
    club.answers("Owen", "8 of 8 looked at", "All as the books have it.")
    await club.presses("Owen", "Finish")
    club.sees("Owen", "Stocktake finished.")
    await club.says("Hana", "/stocktake")
    club.answers("Hana", "0 of 8 done")


async def test_what_moves_during_a_walk_is_looked_at_again(club: Club) -> None:
    await club.at(FRIDAY)
    await club.says("Nora", "/stocktake")
    await club.presses("Nora", "There")
    await club.presses("Nora", "Not there")
    await club.says("Hana", "/out A B Red")
    await club.presses("Nora", "That's all")
    end = club.answers("Nora", "0 of 8 looked at", "All as the books have it.")
    await club.says("Hana", "/back A")
    await club.presses("Nora", "Finish")
    changed = club.answers("Nora", "1 of 8 looked at")
    assert changed.message is end.message
    await club.presses("Nora", "Go on with the walk")
    club.answers("Nora", "1 of 8 done. Next: B", "out with Red")


async def test_what_differs_in_a_tray_is_tapped_and_noted_with_the_rest(club: Club) -> None:
    await club.says("Hana", "/stocktake")
    await club.presses("Hana", "There, but different")
    sheet = club.answers("Hana", "A is there. Tap what is missing")
    part = sheet.buttons[0]
    await club.presses("Hana", part)
    club.answers("Hana", "Missing: 1")
    await club.presses("Hana", "Done")
    await club.presses("Hana", "That's all")
    club.answers("Hana", "A: there, 1", "missing. Then the parts are noted as missing")
    await club.presses("Hana", "Yes, put the books right")
    with club.store.read() as tx:
        found = next(iter(kits.kits(tx, ClubId(1)).values())).position
    assert sum(number for _, number in found.missing) == 1
    assert found.counted_at is None


async def test_a_lost_kit_that_a_helper_finds_is_left_to_an_adult(club: Club) -> None:
    await club.says("Nora", "/lost A: the van")
    await club.says("Hana", "/stocktake")
    await club.presses("Hana", "There")
    await club.presses("Hana", "That's all")
    club.answers("Hana", "A: there, by the books lost. An adult puts that right")
    await club.presses("Hana", "Yes, put the books right")
    club.sees("Hana", "An adult puts right: A.")
    await club.says("Nora", "/lost")
    club.answers("Nora", "L1")


async def test_only_helpers_and_adults_take_stock(club: Club) -> None:
    for who in ("Sam", "Dora"):
        await club.says(who, "/stocktake")
        club.answers(who, "You can't take stock of the store room here")
