"""Out and back in chat: giving out, taking back, passing on, undoing, and what is due."""

from __future__ import annotations

from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


async def booked(club: Club) -> None:
    """Book 2 kits for Red and 3 for Blue on Friday, and let it become Friday 15:30."""
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Bea", "/book 3 kits fri 15:30 to 17:00")
    await club.at(FRIDAY)


async def out(club: Club) -> None:
    """As `booked`, with all kits given out."""
    await booked(club)
    await club.says("Hana", "/out")


async def test_one_tap_gives_out_all_of_a_session(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/today")
    today = club.answers("Hana", "Today 15:30 to 17:00, 2 bookings, Nora runs it", "Red: A and B")
    assert "All out" in today.buttons
    await club.presses("Hana", "All out")
    given = club.answers("Hana", "5 kits out until 17:00", "A and B with Red", "C, D and E with Bl")
    assert given.buttons == ["Undo", "All back", "Some back"]
    await club.says("Hana", "/today")
    club.answers("Hana", "Red: A and B (out)", "Out now: A, B, C, D and E.")
    await club.says("Hana", "/out")
    club.answers("Hana", "No booking waits to be given out now")


async def test_one_bookings_kits_are_given_out_by_team_or_number(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/out Red")
    club.answers("Hana", "Out: A and B with Red, until 17:00")
    await club.says("Dora", "/out #2")
    club.answers("Dora", "Out: C, D and E with Blue, until 17:00")
    await club.says("Hana", "/out A Blue")
    club.answers("Hana", "A is already out with Red")


async def test_kits_without_a_booking_go_out_too_and_the_team_is_asked(club: Club) -> None:
    await club.at(FRIDAY)
    await club.says("Hana", "/out D F Green")
    club.answers("Hana", "Out: D and F with Green, until 17:00")
    await club.says("Hana", "/out G")
    asked = club.answers("Hana", "Kit G: for which team?")
    assert asked.buttons == ["Blue", "Green", "Red"]
    await club.presses("Hana", "Blue")
    club.answers("Hana", "Out: G with Blue")
    await club.says("Sam", "/free")
    club.answers("Sam", "5 of 8 kits free today, 15:30 to 17:00")


async def test_a_booking_is_not_given_out_long_before_it_begins(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Hana", "/out #1")
    club.answers("Hana", "starts tomorrow 15:30", "half an hour before")
    await club.says("Hana", "/out Red")
    club.answers("Hana", "Red has no booking now", "/out D Red")


async def test_a_student_says_that_a_kit_is_back_and_a_helper_looks(club: Club) -> None:
    await out(club)
    await club.says("Sam", "/back A")
    club.answers("Sam", "Kit A: noted as back", "still looks at it")
    await club.says("Hana", "/back")
    listed = club.answers("Hana", "Out now. Tap what is back", "A with Red", "please look")
    assert listed.buttons == ["A", "B", "C", "D", "E", "All back"]
    await club.presses("Hana", "A")
    back = club.answers("Hana", "Back: A. Still out: B, C, D and E.")
    assert back.buttons == ["B back", "C back", "D back", "E back", "Undo"]
    await club.presses("Hana", "B back")
    club.answers("Hana", "Back: B. Still out: C, D and E.")
    await club.says("Sam", "/back")
    club.answers("Sam", "Nothing of yours is out")


async def test_a_student_cannot_say_it_of_somebody_elses_kit(club: Club) -> None:
    await out(club)
    await club.says("Sam", "/back C")
    club.answers("Sam", "That isn't yours")
    await club.says("Sam", "/back")
    club.answers("Sam", "Kits A and B: noted as back")


async def test_one_tap_takes_everything_back(club: Club) -> None:
    await out(club)
    await club.says("Hana", "/today")
    await club.presses("Hana", "Some back")
    await club.presses("Hana", "All back")
    club.answers("Hana", "Back: A, B, C, D and E. Everything that is due is back.")
    await club.says("Hana", "/back")
    club.answers("Hana", "Nothing is out.")
    await club.says("Hana", "/back all")
    club.answers("Hana", "Nothing of yours is out")


async def test_kits_are_passed_on_without_the_shelf_in_between(club: Club) -> None:
    await out(club)
    await club.says("Hana", "/pass A Blue")
    club.answers("Hana", "Passed on: A to Blue, until 17:00")
    await club.says("Hana", "/pass B")
    await club.presses("Hana", "Green")
    club.answers("Hana", "Passed on: B to Green")
    await club.says("Hana", "/pass A Blue")
    club.answers("Hana", "Blue has it already")
    await club.says("Hana", "/pass F Blue")
    club.answers("Hana", "F isn't out")
    await club.says("Hana", "/pass")
    club.answers("Hana", "Which kit?")


async def test_the_last_thing_one_did_is_undone_and_then_the_one_before(club: Club) -> None:
    await out(club)
    await club.says("Hana", "/back A B")
    await club.presses("Hana", "Undo")
    club.answers("Hana", "Undone: A and B taken back", "Nothing else changed")
    await club.says("Hana", "/undo")
    club.answers("Hana", "Undone: A, B, C, D and E given out")
    await club.says("Hana", "/undo")
    club.answers("Hana", "There is nothing of yours to undo.")
    await club.says("Hana", "/out")
    club.answers("Hana", "5 kits out until 17:00")


async def test_what_somebody_else_did_is_not_ones_own_to_undo(club: Club) -> None:
    await out(club)
    await club.says("Owen", "/undo")
    club.answers("Owen", "There is nothing of yours to undo.")


async def test_a_kit_is_looked_at_by_each_as_they_may(club: Club) -> None:
    await out(club)
    await club.says("Sam", "/kit A")
    mine = club.answers("Sam", "Kit A", "Out with Red until 17:00")
    assert mine.buttons == ["Kit is back"]
    await club.says("Bea", "/kit A")
    others = club.answers("Bea", "Kit A", "Out until 17:00")
    assert "Red" not in others.text
    assert others.buttons == []
    await club.says("Hana", "/kit A")
    club.answers("Hana", "Out with Red until 17:00")
    await club.presses("Hana", "Kit is back")
    club.answers("Hana", "Back: A.")
    await club.says("Bea", "/kit A")
    club.answers("Bea", "On its shelf.")


async def test_out_of_use_and_back_and_the_bookings_are_planned_anew(club: Club) -> None:
    await club.says("Sam", "/book kit D fri 15:30 to 17:00")
    await club.says("Hana", "/withdraw D: bent <axle>")
    gone = club.answers("Hana", "Kit D is out of use: bent <axle>", "Booking 1 for Red")
    assert gone.buttons == ["Undo"]
    club.hears_nothing("Sam")
    await club.says("Hana", "/out D Red")
    club.answers("Hana", "D is out of use. Take another", "/restore")
    await club.says("Nora", "/kit D")
    club.answers("Nora", "Out of use: bent <axle>")
    await club.says("Sam", "/kit D")
    assert club.answers("Sam", "Out of use.").buttons == []
    await club.says("Hana", "/kit D")
    await club.presses("Hana", "Back in use")
    club.answers("Hana", "Kit D is in use")
    await club.says("Hana", "/withdraw E")
    await club.says("Hana", "/restore E")
    club.answers("Hana", "Kit E is in use")
    await club.says("Hana", "/restore E")
    club.answers("Hana", "E: nothing to change")
    await club.says("Hana", "/withdraw")
    club.answers("Hana", "Which kit?")


async def test_what_is_charged_is_noted_from_the_list_or_by_label(club: Club) -> None:
    await club.says("Sam", "/book 2 kits mon 16:00 to 17:30")
    await club.says("Hana", "/charge")
    shown = club.answers("Hana", "To charge for the week", "A and B: 1 booking, no charge noted")
    assert "An adult stays while they charge" in shown.text
    await club.says("Owen", "/charge")
    await club.presses("Owen", "All of these charged")
    club.answers("Owen", "Noted as charged: A and B.")
    await club.says("Owen", "/charged D F")
    club.answers("Owen", "Noted as charged: D and F.")
    await club.presses("Owen", "Undo")
    club.answers("Owen", "Undone: D and F charged")
    await club.says("Owen", "/charged all")
    club.answers("Owen", "Noted as charged: A, B, C, D, E, F, G and H.")
    await club.says("Owen", "/charged")
    club.answers("Owen", "Which kit?")
    await club.says("Hana", "/charged all")
    club.answers("Hana", "You can't sign off charging here")


async def test_the_same_tap_twice_does_nothing_twice(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/today")
    message = club.with_button("All out", club.private("Hana"))
    club.standin.press("Hana", message, "All out")
    club.standin.press("Hana", message, "All out", stale=False)
    await club.settle()
    club.sees("Hana", "")
    await club.says("Hana", "/undo")
    club.sees("Hana", "Undone: A, B, C, D and E given out")
    await club.says("Hana", "/undo")
    club.answers("Hana", "There is nothing of yours to undo.")
