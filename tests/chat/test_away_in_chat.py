"""A leader who is away, and one who hands the club over, as they read it."""

from __future__ import annotations

from tests.chat.played import Club


async def test_a_leader_goes_away_and_comes_back_by_one_tap(club: Club) -> None:
    await club.says("Nora", "/away today to 18 Oct Owen")
    noted = club.answers("Nora", "You are away until Sun 18 Oct; Owen acts for you")
    assert noted.buttons == ["I'm back"]
    club.answers("Owen", "Nora is away until Sun 18 Oct. You act for them")
    await club.says("Sam", "/book kit A fri 15:30 to 17:00")
    await club.at("2026-10-16 15:30")
    await club.says("Owen", "/out")
    await club.at("2026-10-16 17:15")
    club.sees("Owen", "1 kit is still shown as out: A.")
    club.hears_nothing("Nora")
    await club.says("Owen", "/away")
    club.answers("Owen", "Nora, until Sun 18 Oct: Owen acts")
    await club.presses("Nora", "I'm back")
    club.answers("Nora", "Welcome back. Everything comes to you again; Owen is told.")
    club.answers("Owen", "Nora is back. You no longer act for them.")
    await club.says("Owen", "/away")
    club.answers("Owen", "No adult is away")


async def test_what_cannot_be_read_of_an_absence_is_said_in_one_line(club: Club) -> None:
    for said, part in (
        ("/away sometime", "Nobody of that name"),
        ("/away 3 Nov to 10 Nov Zed", "Nobody of that name"),
        ("/away Owen", "From when to when, and who acts?"),
        ("/away off", "You aren't away here"),
    ):
        await club.says("Nora", said)
        club.answers("Nora", part)
    await club.says("Sam", "/away today Owen")
    club.answers("Sam", "You can't let another adult act while away here")


async def test_the_handover_comes_in_pages_and_as_a_text_to_keep(club: Club) -> None:
    await club.says("Nora", "/settings keys the office, hook 4")
    await club.says("Sam", "/fault D: the left motor grinds")
    await club.says("Nora", "/handover")
    told = club.sees("Nora", "Handing over Robot club", "Keys: the office, hook 4", "D: fault 1")
    assert "Sam" not in told.text
    documents = [each for each in club.private("Nora").visible if each.content.get("document")]
    assert documents[-1].content["document"]["file_name"] == "handover-2026-10-15.txt"
    await club.says("Hana", "/handover")
    club.answers("Hana", "You can't print the handover here")
