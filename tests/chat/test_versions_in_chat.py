"""Software versions in chat: agreed on, noted, gone back, and nothing of it for children."""

from __future__ import annotations

from tests.chat.played import Club


async def test_an_adult_agrees_on_a_version_notes_others_and_goes_back(club: Club) -> None:
    await club.says("Nora", "/versions")
    club.answers("Nora", "agreed on no version yet", "/versions agree unit 3.2")
    await club.says("Nora", "/versions all 3.2")
    club.answers("Nora", "Noted: unit 3.2 on A")
    await club.says("Nora", "/versions agree unit 3.10")
    club.answers("Nora", "Agreed for units: 3.10", "To update: A", "mains and the network")
    await club.says("Nora", "/versions D 3.10")
    await club.says("Nora", "/versions")
    club.answers("Nora", "Agreed: units 3.10", "As agreed: D unit 3.10", "Behind: A")
    await club.says("Nora", "/versions D 3.9")
    club.answers("Nora", "3.9 is older: D has 3.10", "may not open", "An adult does it")
    await club.presses("Nora", "Yes, it went back")
    club.answers("Nora", "Noted: unit 3.9 on D", "Gone back to it: D")
    await club.says("Nora", "/history D")
    club.answers("Nora", "back to old version (3.9)", "version noted (3.10)")
    await club.says("Nora", "/versions event 20 Nov to 27 Nov: city cup")
    club.answers("Nora", "Event: Fri 20 Nov to Fri 27 Nov, city cup", "tell nobody to update")
    await club.says("Sam", "/versions")
    club.answers("Sam", "adult")
