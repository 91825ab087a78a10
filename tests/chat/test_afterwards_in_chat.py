"""One line in the evening: read, shown once for a yes, written with its own times, corrected."""

from __future__ import annotations

from clubbot.rules.ledger import standing
from clubbot.rules.model import ClubId
from clubbot.store import kits, ledger
from tests.chat.played import ZONE, Club

CLUB = ClubId(1)
EVENING = "2026-10-16 19:00"


async def friday(club: Club) -> None:
    """Red has 2 kits booked for Friday and Blue 3; nothing was typed, and it is evening."""
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Bea", "/book 3 kits fri 15:30 to 17:00")
    await club.at(EVENING)


def happened(club: Club) -> list[str]:
    """What stands in the ledger: each kit's label, what happened, and when on the club's clock."""
    with club.store.read() as tx:
        labels = {kit: now.kit.label for kit, now in kits.kits(tx, CLUB).items()}
        entries = standing(ledger.history(tx, CLUB))
        assert ledger.audit(tx, CLUB) == []
    return [
        f"{labels[e.kit]} {e.kind} {e.happened_at.astimezone(ZONE):%H:%M}"
        for e in entries
        if e.kit is not None
    ]


async def test_an_evening_in_one_line_is_shown_once_and_written_with_its_own_times(
    club: Club,
) -> None:
    await friday(club)
    await club.says("Hana", "all out 15:30, G for B, all back 17:00, G flat, D short 2 cables")
    shown = club.answers(
        "Hana",
        "Today, as I read it",
        "15:30 A out with Red",
        "15:30 C, D and E out with Blue",
        "15:30 G out instead of B with Red",
        "17:00 A, C, D, E and G back",
        "17:00 G ran flat",
        "17:00 D short of 2 cables",
    )
    assert shown.buttons == ["Yes, write it down", "Forget it"]
    assert happened(club) == []
    await club.presses("Hana", "Yes, write it down")
    club.sees("Hana", "Written down for today", "G out instead of B")
    assert sorted(happened(club)[:5]) == [f"{label} given out 15:30" for label in "ACDEG"]
    assert sorted(happened(club)[5:]) == sorted(
        [f"{x} taken back 17:00" for x in "ACDEG"] + ["G ran flat 17:00", "D short of parts 17:00"]
    )
    await club.presses("Hana", "Undo")
    assert happened(club) == []


async def test_what_cannot_be_read_is_asked_and_the_rest_is_kept(club: Club) -> None:
    await friday(club)
    await club.says("Nora", "/log all out 15:30, all back 17:00, A late, snacks for us, Z flat")
    shown = club.answers(
        "Nora",
        "15:30 A and B out with Red",
        "17:00 B, C, D and E back",
        "? A: when did it come back? Type the time.",
        "? \u201csnacks for us\u201d: I can't read that.",
        "? \u201cZ flat\u201d",
    )
    assert shown.buttons[0] == "Yes, write the rest"
    await club.says("Nora", "17:20")
    club.answers("Nora", "17:20 A back", "17:00 B, C, D and E back")
    await club.presses("Nora", "Yes, write the rest")
    club.sees("Nora", "Written down", "Not written: \u201csnacks for us\u201d")
    assert "A taken back 17:20" in happened(club)


async def test_a_correction_is_typed_before_the_yes_or_after_it(club: Club) -> None:
    await friday(club)
    await club.says("Hana", "all out 15:30, all back 17:00, C flat")
    await club.says("Hana", "no, C not flat, A back 17:10")
    shown = club.answers("Hana", "17:10 A back", "17:00 B, C, D and E back")
    assert "flat" not in shown.text
    await club.presses("Hana", "Yes, write it down")
    assert "A taken back 17:10" in happened(club)
    await club.says("Hana", "A back 17:25")
    club.answers("Hana", "17:25 A back (put right)")
    await club.presses("Hana", "Yes, write it down")
    assert "A taken back 17:25" in happened(club)
    assert "A taken back 17:10" not in happened(club)


async def test_what_was_noted_as_out_and_was_another_kit_is_put_right(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out")
    await club.at(EVENING)
    await club.says("Hana", "/log G for B, all back 17:00")
    club.answers("Hana", "15:30 G out instead of B with Red (put right)", "17:00 A and G back")
    await club.presses("Hana", "Yes, write it down")
    assert sorted(happened(club)) == [
        "A given out 15:30",
        "A taken back 17:00",
        "G given out 15:30",
        "G taken back 17:00",
    ]


async def test_what_contradicts_is_refused_kindly_and_the_rest_is_kept(club: Club) -> None:
    await friday(club)
    await club.says("Nora", "/withdraw F: bent axle")
    await club.says("Nora", "/log F back 17:00, A out 15:30, A back 23:00, G for H, D for A")
    club.answers(
        "Nora",
        "15:30 A out with Red",
        "F wasn't out then.",
        "A back 23:00\u201d: that is still to come.",
        "G for H: H wasn't to go out then. Who had G? Such as: G for Red",
        "D for A: D was to go to another team. What did they have?",
    )


async def test_danger_in_the_line_comes_before_everything_else(club: Club) -> None:
    await friday(club)
    await club.says("Hana", "/log all back 17:00, D is smoking")
    club.sees("Hana", "Everyone out. Get an adult now.")
    assert happened(club) == ["D put on hold 19:00"]


async def test_a_fault_in_the_line_is_opened_and_told(club: Club) -> None:
    await friday(club)
    await club.says("Hana", "all out 15:30, all back 17:00, D keeps dying")
    club.answers("Hana", "D: fault, \u201cD keeps dying\u201d")
    await club.presses("Hana", "Yes, write it down")
    club.answers("Hana", "Fault 1: /faults")
    club.sees("Nora", "D")


async def test_only_who_takes_kits_back_tells_of_it_and_an_old_button_does_nothing(
    club: Club,
) -> None:
    await friday(club)
    await club.says("Sam", "/log all back 17:00")
    club.answers("Sam", "You can't take back here")
    await club.says("Hana", "/log")
    club.answers("Hana", "What happened?")
    await club.says("Hana", "/log all out 15:30")
    await club.presses("Hana", "Forget it")
    club.answers("Hana", "Fine, forgotten")
    await club.sends_data("Hana", "v1:logyes")
    club.answers("Hana", "That button is out of date")
    assert happened(club) == []


async def test_a_club_without_bookings_tells_of_all_its_kits_and_of_yesterday(club: Club) -> None:
    await club.at("2026-10-17 10:00")
    await club.says("Nora", "yesterday: A, B to Green 15:30, G out 15:40, all back 17:00 but G")
    club.answers("Nora", "Fri 16 Oct", "15:30 A and B out with Green", "17:00 A and B back")
    await club.presses("Nora", "Yes, write it down")
    assert len(happened(club)) == 5
    await club.says("Nora", "/back")
    club.answers("Nora", "G, due Fri 16 Oct 17:00, late")
