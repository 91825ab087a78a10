"""How many taps a usual session of twelve kits takes: two out, two back, one a difference."""

from __future__ import annotations

import pytest

from clubbot.rules.model import ClubId
from clubbot.store import clubs, kits
from tests.chat.played import Club

FRIDAY, END = "2026-10-16 15:30", "2026-10-16 16:55"
CLUB = ClubId(1)


class Taps:
    """A thumb: presses what is in one chat and counts."""

    def __init__(self, club: Club, who: str) -> None:
        self.club, self.who, self.count = club, who, 0

    async def on(self, label: str) -> None:
        self.count += 1
        await self.club.presses(self.who, label)

    async def command(self, name: str) -> None:
        """A command out of the menu is a tap too."""
        self.count += 1
        await self.club.says(self.who, name)


async def twelve_booked(club: Club) -> None:
    with club.store.write() as tx:
        kits.add(tx, CLUB, next(iter(clubs.kit_types(tx, CLUB))), "IJKL")
    for team in ("Red", "Blue", "Green"):
        await club.says("Nora", f"/book 4 kits fri 15:30 to 17:00 for {team}")
    await club.at(FRIDAY)


def out(club: Club) -> list[str]:
    with club.store.read() as tx:
        return [now.kit.label for now in kits.kits(tx, CLUB).values() if now.position.out]


async def test_a_usual_session_of_twelve_kits_goes_out_with_two_taps(club: Club) -> None:
    await twelve_booked(club)
    thumb = Taps(club, "Hana")
    await thumb.command("/today")
    await thumb.on("All out")
    assert len(out(club)) == 12
    assert thumb.count == 2


@pytest.mark.parametrize("missing", [[], ["C"], ["C", "F", "K"]], ids=["none", "one", "three"])
async def test_it_comes_back_with_two_taps_and_one_for_each_difference(
    club: Club, missing: list[str]
) -> None:
    await twelve_booked(club)
    await club.says("Hana", "/today")
    await club.presses("Hana", "All out")
    await club.at(END)
    thumb = Taps(club, "Hana")
    if missing:
        await thumb.on("Some back")
        for label in missing:
            await thumb.on(label)
        await thumb.on("The rest is back")
    else:
        await thumb.on("All back")
    assert out(club) == missing
    assert thumb.count <= 2 + len(missing)


async def test_a_tap_too_many_is_taken_back_by_tapping_it_again(club: Club) -> None:
    await twelve_booked(club)
    await club.says("Hana", "/out")
    await club.says("Hana", "/today")
    for label in ("Some back", "C", "D", "D missing", "The rest is back"):
        await club.presses("Hana", label)
    assert out(club) == ["C"]
