"""Counting by weight: only where the scale can really tell, and never a guess.

The weight of n pieces is n times a piece's, give or take the pieces' own spread (it grows with the
root of n), what the piece's weight is wrong by (it grows with n), and what the scale is wrong by.
The three add up in squares; a count is sure where three standard deviations stay under half a
piece's weight. The sources of error are those of Steiner and MacKay, "Scale Counting"
(Technometrics 46, 2004): part weights, calibration, and the scale's resolution and bias. That a
reading to a step d is uncertain by d/sqrt(12), and a limit of error e by e/sqrt(3), is JCGM
100:2008 (GUM), 4.3.7 and F.2.2.1, from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

SPREAD = 0.02
"""A piece's spread, as a share of its weight, where nobody told it.

Weighing trade literature gives 0.5 to 1.5 percent, and more for moulded parts.
"""
SAMPLE = 10
"""Common practice of the trade: a piece's weight is a tenth of that of ten together."""
_SURE = 3
"""Standard deviations: 99.7 of 100 counts, where errors are normal."""
_MOST = 10_000

Why = Literal["too light", "too many", "between"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part's weight and the spread between pieces (one standard deviation), in milligrams."""

    weight: int
    spread: int | None = None

    @property
    def deviation(self) -> float:
        return SPREAD * self.weight if self.spread is None else self.spread


@dataclass(frozen=True, slots=True)
class Weighed:
    """So many pieces; `same` where the weight is that of as many as were known to be there."""

    number: int
    same: bool


@dataclass(frozen=True, slots=True)
class CannotTell:
    """Why a weighing counts nothing, and the most pieces that this scale could count (or none).

    - too light: not even one piece is told from none;
    - too many: it could count fewer;
    - between: the weight is that of no whole number; `near` are the numbers around it.
    """

    why: Why
    most: int
    near: tuple[int, int] = (0, 0)


def uncertainty(number: int, piece: Piece, step: int) -> float:
    """Return the standard uncertainty, in milligrams, of what so many pieces weigh.

    `step` is what the scale shows in, in milligrams; it is taken to be wrong by a step at most
    (common practice, no source). Empty and full are two readings.
    """
    scale = 2 * step**2 / 12 + step**2 / 3
    calibration = piece.deviation**2 / SAMPLE + scale / SAMPLE**2
    return math.sqrt(number * piece.deviation**2 + number**2 * calibration + scale)


def tells(number: int, piece: Piece, step: int) -> bool:
    """Say whether this scale tells so many pieces from one more or one less."""
    return _SURE * uncertainty(number, piece, step) < piece.weight / 2


def most(piece: Piece, step: int) -> int:
    """Return the most pieces that this scale can count, 0 where it is none."""
    low, high = 0, _MOST
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if tells(middle, piece, step) else (low, middle - 1)
    return low


def weigh(weight: int, known: int, should: int, piece: Piece, step: int) -> Weighed | CannotTell:
    """Return what a weight of milligrams counts, where `known` are thought there, of `should`.

    A compartment that the scale can't tell when it is full is refused whatever it weighs: a
    result that seems right would be luck.
    """
    if not tells(should, piece, step):
        limit = most(piece, step)
        return CannotTell("too many" if limit else "too light", limit)
    if abs(weight - known * piece.weight) <= _SURE * uncertainty(known, piece, step):
        return Weighed(known, same=True)
    number = max(round(weight / piece.weight), 0)
    off = abs(weight - number * piece.weight)
    if off > _SURE * uncertainty(number, piece, step) or not tells(number, piece, step):
        low = max(weight // piece.weight, 0)
        return CannotTell("between", most(piece, step), (low, low + 1))
    return Weighed(number, same=False)
