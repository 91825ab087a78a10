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

FAULT, DANGER = "fault", "danger"
COLUMNS = (*Symptom, FAULT, DANGER)
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
    """Probabilities: of each symptom given that there is a fault, of a fault, and of danger."""

    symptoms: dict[str, float]
    fault: float
    danger: float


@lru_cache(maxsize=1)
def weights() -> Weights:
    """The trained weights, read on first use."""
    text = files("clubbot.rules.faults").joinpath("weights.tsv").read_text(encoding="utf-8")
    rows: dict[str, int] = {}
    numbers = array("h")
    base: tuple[int, ...] = (0,) * len(COLUMNS)
    for line in text.splitlines():
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
    top = max(scores[: len(Symptom)])
    shares = [math.exp(score - top) for score in scores[: len(Symptom)]]
    whole = sum(shares)
    return Weighed(
        {symptom: share / whole for symptom, share in zip(Symptom, shares, strict=True)},
        _logistic(scores[len(Symptom)]),
        _logistic(scores[len(Symptom) + 1]),
    )


def _logistic(score: float) -> float:
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, score))))
