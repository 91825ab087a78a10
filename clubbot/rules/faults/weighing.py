"""Clues weighed: how likely is each symptom, a fault at all, and danger.

A logistic regression whose weights are plain numbers in weights.tsv; the project's tests hold the
program that works them out.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clubbot.rules.faults.symptoms import Symptom

NONE, FAULT, DANGER = "none", "fault", "danger"
KINDS = (*Symptom, NONE)
"""What a message is about, exactly one; dangers count as battery-danger."""
COLUMNS = (*KINDS, FAULT, DANGER)
SCALE = 100
"""The file holds hundredths."""


@dataclass(frozen=True, slots=True)
class Weights:
    """Each clue's row in `numbers`, which holds one hundredth per column; `base` is for no clue."""

    rows: dict[str, int]
    numbers: array[int]
    base: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """Shares of each symptom, which with "no fault" make 1, and the chances of fault and danger.

    The chances are means of two readings of the same clues: among all kinds, and yes or no.
    """

    symptoms: dict[Symptom, float]
    fault: float
    danger: float


@lru_cache(maxsize=1)
def weights() -> Weights:
    """The trained weights, read on first use."""
    rows: dict[str, int] = {}
    numbers = array("h")
    base: tuple[int, ...] = (0,) * len(COLUMNS)
    with files("clubbot.rules.faults").joinpath("weights.tsv").open(encoding="utf-8") as lines:
        for line in lines:
            if line.startswith("#"):
                continue
            clue, _, values = line.partition("\t")
            figures = [int(value) for value in values.split(" ")]
            if clue == "base":
                base = tuple(figures)
                continue
            rows[clue] = len(numbers)
            numbers.extend(figures)
    return Weights(rows, numbers, base)


def weigh(clues: Iterable[str]) -> Weighed:
    """Probabilities for a message with these clues; clues without a weight count for nothing."""
    known = weights()
    width = len(COLUMNS)
    sums = [0] * width
    count = 0
    for clue in clues:
        count += 1
        row = known.rows.get(clue)
        if row is not None:
            for column in range(width):
                sums[column] += known.numbers[row + column]
    length = math.sqrt(max(count, 1))
    scores = [(base + each / length) / SCALE for base, each in zip(known.base, sums, strict=True)]
    kinds = scores[: len(KINDS)]
    top = max(kinds)
    shares = [math.exp(score - top) for score in kinds]
    whole = sum(shares)
    found = {kind: share / whole for kind, share in zip(KINDS, shares, strict=True)}
    none = found.pop(NONE)
    return Weighed(
        {Symptom(kind): share for kind, share in found.items()},
        (1 - none + _logistic(scores[-2])) / 2,
        (found[Symptom.BATTERY_DANGER] + _logistic(scores[-1])) / 2,
    )


def _logistic(score: float) -> float:
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, score))))
