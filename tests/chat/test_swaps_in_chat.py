"""A kit that changes after people were told, as they read of it."""

from __future__ import annotations

from tests.chat.played import Club


async def test_another_kit_than_promised_is_read_in_the_evening_before_and_why(club: Club) -> None:
    await club.says("Sam", "/book kit D fri 23 oct 15:30 to 17:00")
    await club.says("Hana", "/withdraw D: bent axle")
    club.hears_nothing("Sam")
    await club.at("2026-10-22 17:50")
    club.hears_nothing("Sam")
    await club.at("2026-10-22 18:00")
    club.answers("Sam", "Tomorrow, 15:30 to 17:00", "instead of D, since D is out of use.")


async def test_a_kit_that_is_back_in_use_by_then_is_just_the_one_that_was_promised(
    club: Club,
) -> None:
    await club.says("Sam", "/book kit D fri 23 oct 15:30 to 17:00")
    await club.says("Hana", "/withdraw D: bent axle")
    await club.says("Hana", "/restore D")
    await club.at("2026-10-22 18:00")
    told = club.answers("Sam", "Tomorrow, 15:30 to 17:00", "Kit D is yours.")
    assert "instead" not in told.text


async def test_kits_that_pass_from_one_session_to_the_next_alarm_nobody_before_they_are_late(
    club: Club,
) -> None:
    for team, hours in (
        ("Red", "15:30 to 17:00"),
        ("Blue", "17:00 to 18:30"),
        ("Red", "18:30 to 20:00"),
    ):
        await club.says("Nora", f"/book 6 kits fri {hours} for {team}")
    await club.at("2026-10-16 15:30")
    await club.says("Nora", "/out")
    await club.at("2026-10-16 17:01")
    assert not any("can be had any more" in said.text for said in club.news("Owen"))
    await club.says("Nora", "/back all")
    await club.says("Hana", "/today")
    club.answers("Hana", "Blue: A, B, C, D, E and F")
