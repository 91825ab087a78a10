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
    club.sees("Hana", "It's back: fault 1", "Last time: motor plug pressed home")
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
