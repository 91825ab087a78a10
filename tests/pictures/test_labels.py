"""Printed labels: every code is read back from the page, every shape is another, all fits."""

from __future__ import annotations

import io
import itertools
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from clubbot.pictures.labels import grid_of, labels
from clubbot.rules.labels import DIFFERENT, GRIDS, LETTER, PLAIN, Grid, mark, read_wish
from clubbot.rules.results import LabelSheet, LabelText

BOT = "a_club_with_a_bot_name_of_32_bot"
DOTS = 300
"""Dots per inch, as a plain office printer has."""
QUIET = 4
"""Modules that stay white round a code, ISO/IEC 18004."""
MODULES = 37
"""A code of version 5, which 66 bytes need at level M, has so many; ISO/IEC 18004, table 7."""
EVERY = (*PLAIN.values(), *GRIDS)


def _sheet(grid: Grid, count: int, names: str = "ABCDEFGHJKLMNPRSTUVWXYZ") -> LabelSheet:
    texts = tuple(
        LabelText(names[at % len(names)], "tablet", f"{at:010d}", at) for at in range(count)
    )
    return LabelSheet(grid.paper, grid.name, texts)


def _pages(pdf: bytes) -> list[Image.Image]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.render(scale=DOTS / 72).to_pil().convert("L") for page in document]


def _read(page: Image.Image) -> dict[str, tuple[float, float, float]]:
    """Return what each code on a page says, with its middle and its side in millimetres."""
    found: dict[str, tuple[float, float, float]] = {}
    for code in zxingcpp.read_barcodes(page):
        corners: Any = code.position
        across = abs(corners.top_right.x - corners.top_left.x) * 25.4 / DOTS
        x = (corners.top_left.x + corners.bottom_right.x) / 2 * 25.4 / DOTS
        y = (corners.top_left.y + corners.bottom_right.y) / 2 * 25.4 / DOTS
        found[code.text] = (x, y, across)
    return found


def _white(page: Image.Image, x: float, y: float, inner: float, outer: float) -> bool:
    """Say whether the frame between two squares round a point is white."""
    scale = DOTS / 25.4
    for left, top, right, bottom in (
        (x - outer, y - outer, x + outer, y - inner),
        (x - outer, y + inner, x + outer, y + outer),
        (x - outer, y - outer, x - inner, y + outer),
        (x + inner, y - outer, x + outer, y + outer),
    ):
        box = (round(left * scale), round(top * scale), round(right * scale), round(bottom * scale))
        if page.crop(box).getextrema()[0] < 200:
            return False
    return True


@pytest.mark.parametrize("grid", EVERY, ids=lambda grid: f"{grid.paper} {grid.name}")
def test_every_code_of_a_full_page_is_read_by_another_library_and_lies_on_its_label(
    grid: Grid,
) -> None:
    count = grid.rows * grid.columns
    pages = _pages(labels(_sheet(grid, count + 1), "Robot club", BOT))
    assert len(pages) == 2, "one label more than a page has"
    read = _read(pages[0])
    assert set(read) == {f"https://t.me/{BOT}?start=kit_{at:010d}" for at in range(count)}
    for text, (x, y, across) in read.items():
        _, left, top = grid.place(int(text[-10:]))
        assert left < x - across / 2 < x + across / 2 < left + grid.label[0]
        assert top < y - across / 2 < y + across / 2 < top + grid.label[1]
        module = across / MODULES
        assert module > 0.33, "four dots or more of a plain printer"
        outer = across / 2 + (QUIET - 0.2) * module
        assert _white(pages[0], x, y, across / 2 + 0.3, outer), "quiet all round"
    assert set(_read(pages[1])) == {f"https://t.me/{BOT}?start=kit_{count:010d}"}


@pytest.mark.parametrize("grid", EVERY, ids=lambda grid: f"{grid.paper} {grid.name}")
def test_no_grid_leaves_its_page_or_lays_two_labels_over_one_another(grid: Grid) -> None:
    assert grid.pitch[0] >= grid.label[0]
    assert grid.pitch[1] >= grid.label[1]
    page, left, top = grid.place(grid.rows * grid.columns - 1)
    assert page == 0
    assert left + grid.label[0] <= grid.page[0] + 0.01
    assert top + grid.label[1] <= grid.page[1] + 0.01
    # What is left over is the same on both sides: sheets are fed either way up.
    assert grid.corner[0] == pytest.approx(grid.page[0] - left - grid.label[0], abs=0.6)
    assert grid.corner[1] == pytest.approx(grid.page[1] - top - grid.label[1], abs=0.6)


def test_the_page_has_the_papers_own_size() -> None:
    with pypdfium2.PdfDocument(labels(_sheet(PLAIN["Letter"], 1), "Club", BOT)) as document:
        width, height = document[0].get_size()
    assert (width, height) == pytest.approx((8.5 * 72, 11 * 72))
    assert pytest.approx((8.5 * 25.4, 11 * 25.4)) == LETTER


def test_plain_paper_has_cut_marks_outside_the_labels_and_a_sheet_has_none() -> None:
    corner = (0, 0, round(14 * DOTS / 25.4), round(22 * DOTS / 25.4))
    plain = _pages(labels(_sheet(PLAIN["A4"], 1), "Club", BOT))[0]
    assert plain.crop((corner[2], 0, plain.width, corner[3])).getextrema()[0] < 128
    sheet = _pages(labels(_sheet(GRIDS[2], 1), "Club", BOT))[0]
    assert sheet.crop((0, 0, sheet.width, round(15 * DOTS / 25.4))).getextrema() == (255, 255)


def test_two_kits_never_have_the_same_shape_and_each_looks_different_on_paper() -> None:
    marks = [mark(place) for place in range(200)]
    assert len(set(marks)) == 200
    grid = GRIDS[0]
    drawn: list[bytes] = []
    for page in _pages(labels(_sheet(grid, DIFFERENT, names="A"), "Club", BOT)):
        for at in range(grid.rows * grid.columns):
            _, left, top = grid.place(at)
            box = [round(v * DOTS / 25.4) for v in (left + 1, top + 8, left + 22, top + 56)]
            drawn.append(page.crop((box[0], box[1], box[2], box[3])).resize((24, 48)).tobytes())
    drawn = drawn[:DIFFERENT]
    for one, other in itertools.combinations(drawn, 2):
        assert sum(abs(a - b) > 60 for a, b in zip(one, other, strict=True)) > 8


def test_a_name_in_letters_that_the_font_lacks_leaves_room_to_write_it_by_hand() -> None:
    sheet = LabelSheet("A4", PLAIN["A4"].name, (LabelText("\u72d0", "unit", "x" * 10, 0),))
    page = _pages(labels(sheet, "\u30ed\u30dc\u30c3\u30c8 club", BOT))[0]
    assert list(_read(page)) == [f"https://t.me/{BOT}?start=kit_{'x' * 10}"]


def test_the_same_labels_make_the_same_file() -> None:
    sheet = _sheet(GRIDS[0], 3)
    assert labels(sheet, "Club", BOT) == labels(sheet, "Club", BOT)
    assert io.BytesIO(labels(sheet, "Club", BOT)).read(5) == b"%PDF-"


@pytest.mark.parametrize(
    ("text", "paper", "grid", "things", "rest"),
    [
        ("", "A4", "6x3 60x42", ("unit", "tablet", "tray"), ""),
        ("letter", "Letter", "6x3 60x40", ("unit", "tablet", "tray"), ""),
        ("7x3", "A4", "7x3 63.5x38.1", ("unit", "tablet", "tray"), ""),
        ("Letter 10x3 tablets D, F", "Letter", "10x3 66.7x25.4", ("tablet",), "D, F"),
        ("99.1x38.1 mm trays", "A4", "7x2 99.1x38.1", ("tray",), ""),
        ("A4 13\u00d75 units and trays", "A4", "13x5 38.1x21.2", ("unit", "tray"), "and"),
    ],
)
def test_a_leader_says_which_labels_on_which_sheet(
    text: str, paper: str, grid: str, things: tuple[str, ...], rest: str
) -> None:
    wish = read_wish(text)
    assert wish is not None
    assert (wish.grid.paper, wish.grid.name, wish.things) == (paper, grid, things)
    assert wish.rest == rest


@pytest.mark.parametrize("text", ["9x9", "1x1 mm", "Letter 13x5"])
def test_a_sheet_that_is_not_known_is_none(text: str) -> None:
    assert read_wish(text) is None


def test_every_grid_is_found_by_what_its_button_says() -> None:
    for grid in GRIDS:
        wish = read_wish(f"{grid.paper} {grid.name} mm")
        assert wish is not None
        assert wish.grid is grid
        assert grid_of(LabelSheet(grid.paper, grid.name, ())) is grid
