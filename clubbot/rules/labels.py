"""Labels to print: the grids of common sheets, what a leader asks for, and each kit's shape.

The grids are named by rows, columns and the label's measures in millimetres. Measures as sheets of
these grids give them in their templates; from memory, so a test print on plain paper comes first.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

Thing = Literal["unit", "tablet", "tray"]
THINGS: tuple[Thing, ...] = get_args(Thing)

A4 = (210.0, 297.0)
"""Millimetres, ISO 216."""
LETTER = (215.9, 279.4)
"""Millimetres, ANSI/ASME Y14.1 size A."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Where labels are on a page; all in millimetres from the page's upper left corner.

    `pitch` is from one label's edge to the next one's. `cut` says that marks show where to cut.
    """

    paper: Literal["A4", "Letter"]
    rows: int
    columns: int
    label: tuple[float, float]
    corner: tuple[float, float]
    pitch: tuple[float, float]
    cut: bool = False

    @property
    def name(self) -> str:
        width, height = self.label
        return f"{self.rows}x{self.columns} {width:g}x{height:g}"

    @property
    def page(self) -> tuple[float, float]:
        return A4 if self.paper == "A4" else LETTER

    def place(self, number: int) -> tuple[int, float, float]:
        """Return the page and the upper left corner of the label with this number, from 0."""
        page, cell = divmod(number, self.rows * self.columns)
        row, column = divmod(cell, self.columns)
        left, top = self.corner
        return page, left + column * self.pitch[0], top + row * self.pitch[1]


PLAIN = {
    "A4": Grid("A4", 6, 3, (60.0, 42.0), (15.0, 22.5), (60.0, 42.0), cut=True),
    "Letter": Grid("Letter", 6, 3, (60.0, 40.0), (17.95, 19.7), (60.0, 40.0), cut=True),
}
GRIDS = (
    Grid("A4", 4, 2, (99.1, 67.7), (4.65, 13.1), (101.6, 67.7)),
    Grid("A4", 7, 2, (99.1, 38.1), (4.65, 15.15), (101.6, 38.1)),
    Grid("A4", 7, 3, (63.5, 38.1), (7.2, 15.15), (66.04, 38.1)),
    Grid("A4", 8, 3, (70.0, 37.0), (0.0, 0.5), (70.0, 37.0)),
    Grid("A4", 13, 5, (38.1, 21.2), (4.75, 10.7), (40.6, 21.2)),
    Grid("Letter", 5, 2, (101.6, 50.8), (3.97, 12.7), (106.36, 50.8)),
    Grid("Letter", 10, 2, (101.6, 25.4), (3.97, 12.7), (106.36, 25.4)),
    Grid("Letter", 10, 3, (66.7, 25.4), (4.75, 12.7), (69.85, 25.4)),
)

SHAPES = (
    "circle", "square", "triangle", "tip", "diamond", "plus",
    "cross", "star", "hexagon", "half", "arrow", "hourglass",
)  # fmt: skip
FILLS = ("full", "open", "dotted")
DIFFERENT = len(SHAPES) * len(FILLS)


@dataclass(frozen=True, slots=True)
class Mark:
    """A shape that tells kits apart without reading; `times` it is drawn."""

    shape: str
    fill: str
    times: int


def mark(place: int) -> Mark:
    """Return the mark of the kit that came into the club at this place, from 0.

    No two kits of a club have the same. One that is there keeps its mark when others are added.
    """
    again, within = divmod(place, DIFFERENT)
    fill, shape = divmod(within, len(SHAPES))
    return Mark(SHAPES[shape], FILLS[fill], again + 1)


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be printed; no labels named means all."""

    grid: Grid
    things: tuple[Thing, ...]
    rest: str


_GRID = re.compile(r"(\d+)\s*[x\u00d7]\s*(\d+)", re.IGNORECASE)
_MILLIMETRES = re.compile(r"(\d+\.\d+|\d+)\s*[x\u00d7]\s*(\d+\.\d+|\d+)\s*mm\b", re.IGNORECASE)
_MANY = {"units": "unit", "tablets": "tablet", "trays": "tray"}


def read_wish(text: str) -> Wish | None:
    """Read what follows the command, such as "tablets 7x3 D to F"; None for a grid not known.

    Without a grid it is plain paper with cut marks: A4, or Letter where that is said.
    """
    words = text.split()
    paper: Literal["A4", "Letter"] = "Letter" if _takes(words, "letter") else "A4"
    _takes(words, "a4")
    things = tuple(each for each in THINGS if _takes(words, each, f"{each}s"))
    rest = " ".join(words)
    sized = _MILLIMETRES.search(rest)
    if sized:
        rest = rest.replace(sized[0], " ", 1)
    found = _GRID.search(rest)
    if found:
        rest = rest.replace(found[0], " ", 1)
    grid = _grid(found, sized, paper if "letter" in text.casefold() else None)
    if grid is None:
        return None
    chosen = PLAIN[paper] if not (found or sized) else grid
    return Wish(chosen, things or THINGS, " ".join(rest.split()))


def _takes(words: list[str], *names: str) -> bool:
    there = [word for word in words if word.strip(",").casefold() in names]
    for word in there:
        words.remove(word)
    return bool(there)


def _grid(
    found: re.Match[str] | None, sized: re.Match[str] | None, paper: str | None
) -> Grid | None:
    """Return the first grid that all that was said holds for."""
    for each in GRIDS:
        if paper is not None and each.paper != paper and (found or sized):
            continue
        if found and (each.rows, each.columns) != (int(found[1]), int(found[2])):
            continue
        if sized and each.label != (float(sized[1]), float(sized[2])):
            continue
        return each
    return None


def places(ids: Sequence[int]) -> dict[int, int]:
    """Return each kit's place by when it came into the club: ids only grow."""
    return {kit: place for place, kit in enumerate(sorted(ids))}
