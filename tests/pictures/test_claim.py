"""The letter on paper, read back as a reader of PDFs shows it."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date, timedelta

import pypdfium2
from PIL import Image, ImageDraw

from clubbot.chat.words.claiming import paper
from clubbot.desk.acting import View
from clubbot.pictures.claim import page, printable
from clubbot.rules.model import FaultId, KitId, Role
from clubbot.rules.results import (
    CheckDone,
    ClaimedItem,
    ClaimLetter,
    FaultLine,
    FaultStep,
    KitRef,
    RunTest,
)
from tests.chat.played import START, ZONE

VIEW = View(ZONE, START, Role.LEADER, True, "Club")


def letter(
    said: str = "D keeps dying after twenty minutes", club: str = "Robot club"
) -> ClaimLetter:
    checks = (
        CheckDone("seat-battery", "same", START + timedelta(days=1)),
        CheckDone("run-time-test", "worked", START + timedelta(days=3)),
    )
    fault = FaultLine(
        FaultId(1),
        3,
        KitRef(KitId(4), "D"),
        "short-run",
        danger=False,
        said=said,
        reported_at=START,
        checked=checks,
        thing="battery",
        serial="B-17",
    )
    item = ClaimedItem("battery", "B-17", date(2025, 9, 1), date(2027, 8, 31), 4990)
    return ClaimLetter(
        fault=fault,
        items=(item,),
        photos=1,
        videos=1,
        club=club,
        by="Nora Quinn",
        mended=False,
        steps=(
            FaultStep(START + timedelta(days=4), "fixed", "battery pressed home"),
            FaultStep(START + timedelta(days=9), "back", "Sam says it is back"),
        ),
        runs=(RunTest(date(2026, 10, 18), 61),),
        others=(112, 118, 121),
    )


def still(width: int = 2000, height: int = 1500) -> bytes:
    image = Image.new("RGB", (width, height), "white")
    ImageDraw.Draw(image).ellipse((200, 200, width - 200, height - 200), fill="black")
    exif = Image.Exif()
    exif[0x010F] = "camera of somebody"
    made = io.BytesIO()
    image.save(made, "JPEG", exif=exif)
    return made.getvalue()


def shown(content: bytes) -> str:
    """Return the text that a reader shows, its lines joined."""
    document = pypdfium2.PdfDocument(content)
    try:
        texts = [each.get_textpage().get_text_bounded() for each in document]
    finally:
        document.close()
    return " ".join(" ".join(texts).split())


def test_the_letter_has_what_it_is_about_what_was_done_and_the_run_times() -> None:
    text = shown(page(paper(letter(), VIEW), [still()]))
    for part in (
        "Robot club",
        "Dear Sir or Madam",
        "the battery of one of our robot kits (D) has a fault: battery doesn't last",
        "B-17",
        "1 September 2025",
        "49.90",
        "31 August 2027",
        "Pressed the battery home (no change)",
        "Closed: battery pressed home",
        "It is back",
        "61 min",
        "112 to 121 min",
        "We add 1 photo and 1 video.",
        "whether the warranty covers the repair",
        "Nora Quinn",
        "Stills of the fault",
    ):
        assert part in text, part
    assert "Sam" not in text, "what the club says among itself stays there"


def test_a_still_is_shown_small_without_the_cameras_notes_and_a_broken_one_is_left_out() -> None:
    made = page(paper(letter(), VIEW), [still(), b"no picture", still(600, 1800)])
    assert b"camera of somebody" not in made
    assert len(made) < 300_000
    document = pypdfium2.PdfDocument(made)
    try:
        last = document[len(document) - 1].render(scale=1).to_pil().convert("L")
        dark = sum(last.histogram()[:64])
    finally:
        document.close()
    assert dark > 5_000, "the stills are on the page"


def test_words_of_any_kind_go_on_paper_as_far_as_the_font_has_them() -> None:
    hostile = "<b>& </para> \u0141\u00f3d\u017a \U0001f916 \u05d3"
    text = shown(page(paper(letter(hostile, "<i>Club</i>"), VIEW), []))
    assert "<b>& </para>" in text
    assert "<i>Club</i>" in text
    assert printable("\u0161\u0142\u00e9\u0107 \U0001f916") == "\u0161?\u00e9c ?"


def test_a_long_story_runs_over_pages() -> None:
    long = letter("it stops. " * 60)
    steps = tuple(
        FaultStep(START + timedelta(days=day), "fixed", "tried again " * 12) for day in range(60)
    )
    made = page(paper(replace(long, steps=steps), VIEW), [still()] * 6)
    document = pypdfium2.PdfDocument(made)
    try:
        assert len(document) > 2
    finally:
        document.close()
