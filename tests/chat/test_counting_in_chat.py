"""A full count: the bot picks which kits, and only differences are tapped."""

from __future__ import annotations

import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store import clubs
from clubbot.store.tables import PART
from tests.chat.played import Club
from tests.chat.test_out_and_back_in_chat import out

CLUB = ClubId(1)


def with_contents(club: Club) -> None:
    """Say what belongs into a tray."""
    with club.store.write() as tx:
        kit_type = next(iter(clubs.kit_types(tx, CLUB)))
        rows = [
            {"club_id": CLUB, "kit_type_id": kit_type, "name": name, "number": number, "big": big}
            for name, number, big in (("cable", 6, False), ("motor", 2, True), ("wheel", 4, False))
        ]
        tx.execute(sa.insert(PART), [row | {"essential": True, "tray": ""} for row in rows])


async def test_when_all_is_back_the_bot_says_which_trays_to_count(club: Club) -> None:
    with_contents(club)
    await out(club)
    await club.says("Hana", "/log D short 2 cables")
    await club.presses("Hana", "Yes, write it down")
    await club.says("Hana", "/back all")
    back = club.sees("Hana", "Full count today, please: D (something is missing) and A (never")
    assert back.buttons[:2] == ["Count D", "Count A"]
    await club.presses("Hana", "Count D")
    club.sees("Hana", "Missing: 2 cable.")


async def test_only_differences_are_tapped_and_the_count_is_written_down(club: Club) -> None:
    with_contents(club)
    await club.says("Hana", "/count D")
    shown = club.answers("Hana", "tap only what is missing")
    assert shown.buttons == ["2 motor", "6 cable", "4 wheel", "All there"]
    await club.presses("Hana", "6 cable")
    await club.presses("Hana", "cable: 5 of 6")
    shown = club.answers("Hana", "Missing: 2 cable.")
    await club.presses("Hana", "Done")
    club.answers("Hana", "D counted. Missing: 2 cable.")
    await club.says("Hana", "/count D")
    await club.presses("Hana", "cable: 4 of 6")
    for left in (3, 2, 1, 0):
        await club.presses("Hana", f"cable: {left} of 6")
    await club.presses("Hana", "All there")
    club.answers("Hana", "D counted: all there.", "Found again: 2 cable.")
    await club.presses("Hana", "Undo")
    await club.says("Hana", "/count D")
    club.answers("Hana", "Missing: 2 cable.")


async def test_a_count_that_was_interrupted_goes_on_where_it_stood(club: Club) -> None:
    with_contents(club)
    await club.says("Hana", "/count D")
    await club.presses("Hana", "4 wheel")
    await club.stop()
    await club.start()
    await club.says("Hana", "/count D")
    club.sees("Hana", "Missing: 1 wheel.")


async def test_a_club_without_contents_list_counts_as_it_knows_and_others_may_not(
    club: Club,
) -> None:
    await club.says("Hana", "/count C")
    club.answers("Hana", "no contents list yet")
    await club.presses("Hana", "All there")
    club.answers("Hana", "C counted: all there.")
    await club.sends_data("Hana", "v1:countless:1:99")
    club.answers("Hana", "That button is out of date")
    await club.says("Sam", "/count C")
    club.answers("Sam", "You can't take back here")
    await club.says("Hana", "/count")
    club.answers("Hana", "Full count today, please:", "A: never counted", "B: never counted")
