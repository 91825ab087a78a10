"""Reports amid other talk: into a question, of several kits, with pictures, taken back again."""

from __future__ import annotations

import pytest

from tests.chat.played import Club

FRIDAY = "2026-10-16 15:30"


async def test_a_report_of_another_kit_is_no_answer_to_what_was_done(club: Club) -> None:
    await club.says("Sam", "unit D keeps dying")
    await club.says("Sam", "E's tablet is frozen")
    await club.says("Hana", "/fixed 2")
    await club.says("Hana", "unit G has a broken wheel")
    club.answers("Hana", "Fault 3: kit G, broken part")
    await club.says("Hana", "idk")
    club.answers("Hana", "ask whoever mended E's tablet", "fault 2 stays open")
    await club.says("Hana", "never mind")
    club.answers("Hana", "Nothing was changed")
    await club.says("Hana", "/fixed 2")
    await club.says("Hana", "took the charger from G")
    club.answers("Hana", "Fault 2 on E is closed: took the charger from G.")


async def test_a_report_of_another_kit_is_no_serial_and_no_words_of_the_clubs(club: Club) -> None:
    await club.says("Sam", "unit D keeps dying")
    await club.says("Nora", "/claim 1")
    await club.presses("Nora", "It is sent")
    await club.says("Nora", "/claim 1")
    await club.presses("Nora", "Replaced")
    await club.says("Nora", "unit G has a broken wheel")
    club.answers("Nora", "Fault 2: kit G, broken part")
    await club.says("Nora", "S-99")
    club.answers("Nora", "S-99")
    await club.says("Nora", "/check 2")
    await club.presses("Nora", "Add our own words")
    await club.says("Nora", "oh and E won't start")
    club.answers("Nora", "Fault 3: kit E, won't start")


async def test_another_report_is_no_answer_to_which_kit_and_the_question_stands(club: Club) -> None:
    await club.says("Sam", "the motor is broken")
    await club.says("Sam", "oh and E's wheel fell off")
    club.answers("Sam", "Fault 1: kit E, broken part")
    await club.says("Sam", "E's motor")
    club.answers("Sam", "Fault 2: kit E, motor fault")


async def test_whoever_does_not_know_the_kit_is_heard_all_the_same(club: Club) -> None:
    await club.says("Sam", "the motor is broken")
    await club.says("Sam", "i dont know which one")
    club.answers("Sam", "Fault 1: no kit named, motor fault", "An adult is told")
    await club.at("2026-10-16 08:00")
    club.answers("Nora", "Fault 1", "the motor is broken")


async def test_two_kits_in_one_message_have_each_their_own_fault(club: Club) -> None:
    await club.says("Sam", "the left motor of E isnt turning and also F's tablet is totally frozen")
    said = club.answers("Sam", "Fault 1: kit E, motor fault. Fault 2: F's tablet, tablet fault.")
    assert said.buttons == ["Check E", "Check F"]
    await club.says("Bea", "C and D won't start")
    club.answers("Bea", "Fault 3: kit C, won't start. Fault 4: kit D, won't start.")
    await club.says("Bea", "not A, B keeps dying")
    assert "A," not in club.answers("Bea", "Fault 5: kit B, loses power").text
    await club.says("Sam", "H wont start, and G's battery is swollen")
    club.answers("Sam", "Get an adult now.", "Noted too: kit H, fault 7.")
    club.sees("Nora", "Danger reported by Sam", "Kit G, on hold")
    await club.says("Hana", "/kit H")
    assert "on hold" not in club.answers("Hana", "Kit H", "won't start").text


async def test_both_kits_are_named_in_the_group_as_well(club: Club) -> None:
    from tests.chat.played import CAST, GROUP

    club.group = club.standin.add_group(GROUP, [name for name, _, _ in CAST], announce=True)
    await club.says("Nora", "/link", club.group)
    await club.says("Bea", "@club_kit_bot A and B won't start", club.group)
    club.answers(club.group, "Thanks, noted: kit A, fault 1; kit B, fault 2.")


async def test_a_picture_stays_with_what_comes_of_it(club: Club) -> None:
    await club.shows("Sam", "broken wheel")
    club.answers("Sam", "Photo kept. Which kit is it?")
    await club.shows("Sam")
    await club.presses("Sam", "F")
    assert "A photo helps" not in club.sees("Sam", "Fault 1: kit F, broken part").text
    await club.says("Nora", "/faults 1")
    club.answers("Nora", "With it: 2 photos")
    await club.presses("Nora", "Add a picture")
    await club.shows("Nora", "here")
    club.answers("Nora", "Photo kept with fault 1.")
    await club.shows("Nora", "E has a broken wheel")
    club.answers("Nora", "Fault 2: kit E")
    await club.shows("Sam", "G's battery is swollen")
    await club.says("Nora", "/faults 3")
    assert "With it: 1 photo" in club.all_said("Nora")


async def test_a_fault_that_is_back_is_no_kit_that_is_back(club: Club) -> None:
    await club.says("Sam", "D's motor is dead")
    for said in ("The fault on D is back", "it's back on D"):
        await club.says("Hana", "/fixed 1 new plug")
        await club.says("Sam", said)
        club.answers("Sam", "It's back: fault 1, kit D, motor fault.")
    await club.says("Sam", "the problem on E is back")
    club.answers("Sam", "Fault 2: kit E, noted.")
    await club.at(FRIDAY)
    await club.says("Hana", "/out D Red")
    await club.says("Sam", "/kit D")
    assert club.answers("Sam", "Fault 1: motor fault").buttons == ["Kit is back"]


async def test_a_reporter_may_say_that_it_works_again_and_an_adult_decides(club: Club) -> None:
    await club.says("Sam", "D's motor is dead")
    await club.says("Bea", "D works again")
    club.answers("Bea", "I'm a program")
    await club.says("Sam", "never mind, it was just switched off")
    club.answers("Sam", "Noted with fault 1, kit D: it works again.")
    await club.says("Nora", "/faults 1")
    club.answers("Nora", "works again, says who reported it", "it was just switched off")
    await club.at("2026-10-15 12:00")
    await club.says("Sam", "never mind")
    club.answers("Sam", "I'm a program")
    await club.says("Sam", "G's battery is swollen")
    await club.says("Sam", "false alarm")
    assert "works again" not in club.news("Sam")[-1].text, "danger is an adult's to look at"


async def test_a_report_of_the_wrong_kit_moves_until_somebody_has_touched_it(club: Club) -> None:
    await club.shows("Sam", "D's motor is dead")
    await club.says("Sam", "sorry wrong kit, it was E not D")
    club.answers("Sam", "Fault 2: kit E, motor fault. Fault 1 on D is closed.")
    await club.says("Nora", "/faults 2")
    club.answers("Nora", "With it: 1 photo")
    await club.at("2026-10-16 08:00")
    assert "kit D" not in club.sees("Nora", "Fault 2. Kit E: motor fault").text
    await club.says("Sam", "B's motor is dead")
    await club.says("Hana", "/check 3")
    await club.presses("Hana", "No change")
    await club.says("Sam", "wrong kit, it was C")
    await club.says("Hana", "/faults")
    assert "C:" not in club.sees("Hana", "3 B: motor fault").text


async def test_which_kit_is_asked_only_as_far_as_it_helps(club: Club) -> None:
    await club.says("Sam", "/fault D")
    club.answers("Sam", "What is wrong with kit D?")
    await club.says("Sam", "won't start")
    club.answers("Sam", "Fault 1: kit D, won't start.")
    await club.says("Sam", "/fault E")
    await club.says("Sam", "nothing")
    club.answers("Sam", "Nothing was changed")
    await club.says("Sam", "/fault Z is broken")
    club.answers("Sam", "There is no kit Z. Which kit is it?")
    await club.presses("Sam", "Never mind")
    await club.says("Sam", "E and Z have a broken wheel")
    club.answers("Sam", "Fault 2: kit E, broken part.", "There is no kit Z.")
    await club.at(FRIDAY)
    await club.says("Hana", "/out F G Blue")
    await club.says("Bea", "ours wont connect")
    assert club.answers("Bea", "Which kit is it?").buttons == ["F", "G", "Never mind"]
    await club.says("Bea", "both of ours")
    club.answers("Bea", "Fault 3: kit F, won't connect. Fault 4: kit G, won't connect.")


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("/fixed 1: new cable", "Fault 1 on D is closed: new cable."),
        ("/fixed fault 1 new cable", "Fault 1 on D is closed: new cable."),
        ("/fixed #1, 2 new cables", "Fault 1 on D is closed: 2 new cables."),
        ("/fixed 1 2 prank", "Fault 1 on D is closed: 2 prank."),
        ("/fixed new cable", "Which fault, and what was done? Such as: /fixed 3 new cable"),
        ("/check D", "Fault 1, kit D."),
        ("/check H", "There is no open fault of kit H."),
        ("/check banana", "Which fault? Its number, such as: /check 3."),
        ("/check", "No fault that you reported is open."),
    ],
)
async def test_a_number_is_found_as_people_write_it(club: Club, typed: str, answer: str) -> None:
    await club.says("Sam", "D won't start")
    await club.says("Hana", typed)
    club.answers("Hana", answer)


async def test_several_numbers_close_none(club: Club) -> None:
    await club.says("Sam", "C, D and E won't start")
    await club.says("Hana", "/fixed 1 2 3 prank")
    club.answers("Hana", "One fault at a time, please.")
    await club.says("Sam", "F and G have swollen batteries")
    await club.presses("Owen", "I have it")
    club.sees("Owen", "Write /fixed 4 and /fixed 5 with what you did")


async def test_the_last_adult_who_hears_of_faults_goes_on_hearing_of_them(club: Club) -> None:
    await club.says("Nora", "/mute faults")
    club.answers("Nora", "faults: off")
    await club.says("Owen", "/mute faults")
    club.answers("Owen", "No other adult hears of faults")
    await club.says("Owen", "D won't start")
    assert "is told" not in club.answers("Owen", "Fault 1: kit D, won't start.").text
    await club.says("Nora", "/mute faults")
    await club.says("Owen", "/mute faults")
    club.answers("Owen", "faults: off")
