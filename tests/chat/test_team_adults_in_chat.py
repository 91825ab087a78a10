"""An adult answers for a team: named by a leader, asked about what is late."""

from __future__ import annotations

from tests.chat.played import Club


async def test_an_adult_is_named_for_a_team_and_taken_off_again(club: Club) -> None:
    await club.says("Nora", "/team Green")
    club.answers("Nora", "Green: no adult is named", "/team Green adult Sam")
    await club.says("Nora", "/team Green adult Owen")
    club.answers("Nora", "Owen answers for Green from now on")
    await club.says("Owen", "/me")
    club.answers("Owen", "co-leader, Green")
    await club.says("Nora", "/team Green")
    club.answers("Nora", "Owen answers for Green. Another one")
    await club.says("Nora", "/team Green adult nobody")
    club.answers("Nora", "No adult answers for Green now.")


async def test_what_cannot_be_is_said_in_one_line(club: Club) -> None:
    for said, answer in (
        ("/team", "Which team, and which adult?"),
        ("/team Purple adult Owen", "There is no team Purple here."),
        ("/team Green adult Sam", "Only an adult answers for a team"),
        ("/team Green adult Quentin", "Nobody of that name is here"),
    ):
        await club.says("Nora", said)
        club.answers("Nora", answer)
    await club.says("Hana", "/team Green adult Owen")
    club.answers("Hana", "You can't set up the club here")


async def test_of_a_team_without_accounts_its_adult_is_asked_for_what_is_late(club: Club) -> None:
    await club.says("Nora", "/team Green adult Owen")
    await club.says("Hana", "/book 2 kits for Green fri 15:30 to 17:00")
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out Green")
    await club.at("2026-10-16 17:15")
    club.sees("Nora", "2 kits are still shown as out")
    await club.presses("Nora", "Some missing")
    club.hears_nothing("Owen")
    await club.at("2026-10-16 17:25")
    club.sees("Owen", "A and B for Green were due today 17:00")
