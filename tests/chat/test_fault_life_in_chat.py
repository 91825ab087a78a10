"""A fault from the report to what came back, played in chat against a stand-in over HTTP."""

from __future__ import annotations

import io

import pypdfium2

from tests.chat.played import Club

MOTOR = "kit D: the left motor does not turn"
TABLET = "the tablet of D is frozen"


async def test_one_tap_on_the_list_shows_a_fault_and_what_was_done_closes_it(club: Club) -> None:
    await club.says("Sam", MOTOR)
    club.answers("Sam", "Fault 1: kit D, motor fault", "An adult is told")
    await club.says("Hana", "/faults")
    await club.presses("Hana", "1")
    shown = club.answers("Hana", "Fault 1", "kit D")
    assert {"Check it", "Fixed", "Usable, watch it", "Out of use"} <= set(shown.buttons)
    assert "To the supplier" not in shown.buttons, "that is for adults"
    await club.presses("Hana", "Fixed")
    club.answers("Hana", "what was done?")
    await club.presses("Hana", "Motor plug pressed home")
    club.answers("Hana", "Fault 1 on D is closed: motor plug pressed home")
    await club.presses("Hana", "It's back")
    back = club.sees("Hana", "It's back: fault 1")
    assert "Last time" not in back.text, "what others typed is for adults"
    await club.says("Hana", "/fixed 1")
    await club.says("Hana", "cleaned the axle")
    closed = club.answers("Hana", "closed: cleaned the axle", "What was behind it?")
    assert "Something winds around or rubs" in closed.buttons
    await club.presses("Hana", "Something winds around or rubs")
    club.answers("Hana", "Noted for fault 1: something winds around or rubs")


async def test_a_tablet_takes_its_fault_along(club: Club) -> None:
    await club.says("Nora", "/fit tablet T4 to D")
    await club.says("Sam", TABLET)
    club.answers("Sam", "Fault 1: D's tablet")
    await club.says("Nora", "/fit tablet T9 to D")
    await club.says("Nora", "/faults 1")
    club.answers("Nora", "a tablet in no kit, serial T4")
    await club.says("Nora", "/kit D")
    assert "Fault 1" not in club.answers("Nora", "Kit D").text


async def test_in_a_session_a_free_kit_is_offered_and_a_tap_swaps_it_in(club: Club) -> None:
    await club.says("Hana", "/book D for Red fri 15:30 to 17:00")
    await club.at("2026-10-16 15:35")
    await club.says("Hana", "/out D Red")
    await club.says("Sam", MOTOR)
    assert "Meanwhile ask a helper for A." in club.answers("Sam", "Fault 1").text
    await club.says("Hana", "/faults 1")
    await club.presses("Hana", "A instead of D")
    club.sees("Hana", "A instead of D for Red")


async def test_a_kit_on_hold_is_called_good_nowhere_and_a_danger_is_never_watched(
    club: Club,
) -> None:
    await club.says("Sam", "the battery of C is swollen and hot")
    await club.says("Nora", "/health C")
    held = club.answers("Nora", "On hold (danger reported, fault 1): don't charge or use it")
    assert "Good for" not in held.text
    await club.says("Nora", "/health")
    club.answers("Nora", "On hold, don't charge or use: C.")
    await club.at("2026-10-30 17:30")
    told = club.sees("Nora", "Nothing has moved here", "1 C", "Never just watch a danger")
    assert "or watch it" not in told.text


async def test_watched_it_may_be_used(club: Club) -> None:
    await club.says("Sam", MOTOR)
    await club.says("Hana", "/faults 1")
    await club.presses("Hana", "Usable, watch it")
    club.answers("Hana", "It may be used; somebody watches it.")
    await club.says("Hana", "/faults")
    club.answers("Hana", "may be used, watch it")


async def test_the_letter_goes_out_as_a_pdf_with_what_an_adult_has_looked_through(
    club: Club,
) -> None:
    await club.shows("Sam", "kit D: the screen stays black")
    await club.says("Owen", "/claim 1")
    letter = club.answers(
        "Owen", "Letter about fault 1", "1 picture is left out", "No video is kept"
    )
    assert {"As a PDF", "\u2713 No child seen or heard", "Add a video"} <= set(letter.buttons)
    await club.presses("Owen", "Add a video")
    club.answers("Owen", "it goes with fault 1", "no child is seen or heard")
    club.standin.send_video("Owen", b"a film")
    await club.settle()
    club.answers("Owen", "kept with fault 1")
    await club.presses("Owen", "\u2713 No child seen or heard")
    club.answers("Owen", "1 photo and 1 video may go to the supplier")
    await club.says("Owen", "/claim 1")
    club.answers("Owen", "We add 1 photo and 1 video.")
    await club.presses("Owen", "As a PDF")
    sent = club.answers("Owen", "with the evidence. 2 stills in it.")
    assert sent.message is not None
    file = sent.message.content["document"]
    assert file["file_name"] == "fault-1.pdf"
    content = club.standin.platform.files.by_id[file["file_id"]].content
    document = pypdfium2.PdfDocument(io.BytesIO(content))
    try:
        text = document[0].get_textpage().get_text_bounded()
    finally:
        document.close()
    assert "Robot club: a robot kit with a fault" in text
    assert "Sam" not in text


async def test_pictures_are_shown_again_and_kept_as_copies(club: Club) -> None:
    await club.shows("Sam", MOTOR)
    club.standin.send_video("Sam", b"a film")
    await club.settle()
    await club.says("Owen", "/faults 1")
    await club.presses("Owen", "Show pictures")
    assert [set(m.content) & {"photo", "video"} for m in club.private("Owen").visible[-2:]] == [
        {"photo"},
        {"video"},
    ]
    await club.presses("Owen", "Keep copies")
    club.answers("Owen", "2 copies kept")
    await club.says("Owen", "/faults 1")
    shown = club.answers("Owen", "1 photo and 1 video, 2 kept as a copy")
    assert "Keep copies" not in shown.buttons
    await club.presses("Owen", "Show pictures")
    assert club.private("Owen").visible[-1].content["video"]


async def test_a_claim_from_the_promised_day_to_the_new_serial(club: Club) -> None:
    await club.says("Sam", "kit D: the screen stays black")
    await club.says("Owen", "/claim 1")
    await club.presses("Owen", "It is sent")
    club.answers("Owen", "waits for the supplier now", "stay D's", "put D out of use")
    await club.presses("Owen", "In 2 weeks")
    club.answers("Owen", "answer promised by", "What came back?")
    await club.says("Owen", "/claim")
    club.answers("Owen", "Letters that are out", "Fault 1 (D)")
    await club.says("Owen", "/claim 1")
    await club.presses("Owen", "Replaced")
    club.answers("Owen", "what serial is on the new unit?")
    await club.says("Owen", "S-99")
    club.answers("Owen", "New unit, serial S-99", "It is D's now", "Try it before a session")
    await club.says("Nora", "/history D")
    club.answers("Nora", "replaced")


async def test_the_clubs_own_words_stand_below_a_check_until_they_are_deleted(club: Club) -> None:
    await club.says("Sam", MOTOR)
    await club.says("Owen", "/check 1")
    await club.presses("Owen", "Add our own words")
    club.answers("Owen", "pressed the plugs home")
    await club.says("Owen", "The <i>grey</i> plugs click twice.")
    club.answers("Owen", "The <i>grey</i> plugs click twice.")
    await club.says("Sam", "/check 1")
    club.answers("Sam", "Press every plug home", "Our club: The <i>grey</i> plugs click twice.")
    await club.says("Owen", "/hints motor-worn: ours come from the spares box")
    await club.says("Owen", "/hints")
    club.answers("Owen", "1. plugs-home", "2. motor-worn (the motor is worn)")
    await club.presses("Owen", "Delete 1")
    await club.says("Sam", "/check 1")
    assert "Our club" not in club.answers("Sam", "Press every plug home").text
    await club.says("Owen", "/hints nonsense: words")
    club.answers("Owen", "Which check, and your words?")
    await club.says("Hana", "/hints plugs-home: words")
    club.answers("Hana", "You can't set up the club here")


# -- what may hurt somebody, and who ends what ---------------------------------------------------


async def test_the_letter_about_a_danger_asks_how_it_is_handed_over_and_never_for_a_video(
    club: Club,
) -> None:
    await club.says("Sam", "F's battery is swollen")
    await club.says("Owen", "/claim 1")
    letter = club.answers("Owen", "may be dangerous", "handed over safely", "don't film it")
    assert "video" not in letter.text + "".join(letter.buttons)
    await club.presses("Owen", "It is sent")
    club.answers("Owen", "don't post it", "collection point")
    await club.says("Owen", "/claim 1")
    assert "Repaired" not in club.answers("Owen", "What came back?", "don't post it").buttons
    await club.says("Owen", "/claim 1 repaired")
    club.answers("Owen", "A damaged battery isn't repaired", "/claim 1 replaced")
    await club.says("Owen", "/claim 1 replaced B-9")
    club.answers("Owen", "New battery, serial B-9", "The old one: to a collection point")


async def test_where_somebody_is_hurt_and_nothing_broken_there_is_nothing_to_claim(
    club: Club,
) -> None:
    await club.says("Sam", "my finger is stuck in the gear of D")
    await club.says("Owen", "/claim 1")
    club.answers("Owen", "nothing to claim", "/faults 1")
    await club.says("Owen", "/faults 1")
    card = club.answers("Owen", "Fault 1: kit D. danger")
    assert "To the supplier" not in card.buttons
    await club.presses("Owen", "It's the unit")
    await club.presses("Owen", "To the supplier")
    club.answers("Owen", "the unit of one of our robot kits (D) may be dangerous")
    await club.says("Sam", "the charger lead of G is frayed, you can see the wires")
    await club.says("Owen", "/claim 2")
    assert "the battery" not in club.answers("Owen", "one of our robot kits (G)").text


async def test_what_is_said_to_run_again_is_closed_by_who_looks_and_open_again_by_a_report(
    club: Club,
) -> None:
    await club.says("Sam", "E runs the old program")
    await club.presses("Sam", "Check it now")
    await club.presses("Sam", "It helped")
    await club.says("Hana", "/check 1")
    looks = club.answers("Hana", "it is said to run again. Look: does it?")
    assert looks.buttons == ["It runs: close it", "It still fails"]
    await club.says("Sam", "E runs the old program again")
    await club.says("Sam", "/check 1")
    club.answers("Sam", "Choose the program place", "Did it help?")
    await club.presses("Sam", "It helped")
    await club.presses("Sam", "It still fails")
    club.answers("Sam", "Did it help?")
    await club.presses("Sam", "It helped")
    await club.says("Hana", "/check 1")
    await club.presses("Hana", "It runs: close it")
    club.answers("Hana", "what was done?")


async def test_only_an_adult_ends_a_claim_and_reads_that_it_ends(club: Club) -> None:
    await club.says("Sam", MOTOR)
    await club.says("Owen", "/claim 1")
    await club.presses("Owen", "It is sent")
    await club.presses("Owen", "It is away: out of use")
    for said in ("/fixed 1 turned it off and on", "/restore D"):
        await club.says("Hana", said)
        club.answers("Hana", "Fault 1 waits for the supplier. An adult notes what came back")
    await club.says("Hana", "/check 1")
    club.answers("Hana", "waits for the supplier: nothing to check.")
    await club.says("Hana", "/faults 1")
    assert not {"Check it", "Fixed", "Usable, watch it"} & set(club.answers("Hana").buttons)
    await club.says("Owen", "/fixed 1")
    club.answers("Owen", "closed, the claim ends with it")
    await club.says("Owen", "cleaned the axle")
    club.answers("Owen", "is closed: cleaned the axle. The claim ends with it.")


async def test_a_fault_of_what_came_new_is_a_new_one(club: Club) -> None:
    await club.says("Sam", "unit D won't start")
    await club.says("Owen", "/claim 1")
    await club.presses("Owen", "It is sent")
    await club.says("Owen", "/claim 1 replaced S-99")
    assert club.answers("Owen", "Fault 1 stays with the old one").buttons == []
    await club.says("Sam", "unit D won't start")
    club.answers("Sam", "Thanks. Fault 2: kit D")
    await club.says("Owen", "/faults 1")
    assert club.answers("Owen", "a unit in no kit").buttons == []


async def test_nobody_is_named_to_the_supplier_and_what_is_not_clear_is_not_said(
    club: Club,
) -> None:
    await club.says("Sam", "/fault D hm. Bea Murphy dropped it, sam's brother saw, Will did not")
    await club.says("Owen", "/claim 1")
    letter = club.answers("Owen", "somebody dropped it, somebody's brother saw, Will did not")
    assert "take names out before you send it" in letter.text
    assert "not clear yet" not in letter.text


async def test_an_adult_who_has_no_check_left_reads_what_comes_next(club: Club) -> None:
    await club.says("Sam", "kit D keeps losing power when bumped")
    await club.says("Nora", "/check 1")
    while "Did it help?" in club.news("Nora")[0].text:
        await club.presses("Nora", "No change")
    ended = club.answers("Nora", "Take another kit meanwhile", "put this one out of use")
    assert {"Out of use", "To the supplier", "Fixed"} <= set(ended.buttons)
    assert "needs an adult" not in ended.text


async def test_only_adults_open_pictures_that_a_child_may_be_in(club: Club) -> None:
    await club.shows("Sam", MOTOR)
    await club.says("Hana", "/faults 1")
    hers = club.answers("Hana", "With it: 1 photo").buttons
    assert not {"Show pictures", "Keep copies"} & set(hers)
    await club.sends_data("Hana", "v1:faultshow:1")
    club.answers("Hana", "You can't open a fault's pictures here", "Ask an adult")
    await club.says("Owen", "/faults 1")
    await club.presses("Owen", "Show pictures")
    assert club.news("Owen")[0].message is not None
