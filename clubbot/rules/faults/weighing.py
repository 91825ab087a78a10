"""How likely is each symptom, a fault at all, and danger: clues weighed, and words read in order.

The clues go through a logistic regression whose weights are plain numbers in weights.tsv; the
project's tests hold the program that works them out. The words go through a small network, see
sequence.py. The two err on different messages, so each has half a say in all but the shortest.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clubbot.rules.faults.clues import Word
from clubbot.rules.faults.sequence import read_in_order
from clubbot.rules.faults.symptoms import Symptom

NONE = "none"
KINDS = (*Symptom, NONE)
"""What a message is about, exactly one; dangers count as battery-danger."""
SCALE = 100
"""The file holds hundredths."""
_LEAST = 1e-6
_SAY = (0.0, 0.0, 0.15, 0.3, 0.5)
"""The network's weight, by how many words a message has: half for four and more."""


@dataclass(frozen=True, slots=True)
class Weights:
    """Each clue's row in `numbers`, which holds one hundredth per column; `base` is for no clue."""

    rows: dict[str, int]
    numbers: array[int]
    base: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """Shares of each symptom, which with "no fault" make 1, and so the chance of a fault."""

    symptoms: dict[Symptom, float]
    fault: float

    @property
    def danger(self) -> float:
        """The chance that somebody may get hurt."""
        return self.symptoms[Symptom.BATTERY_DANGER]


@lru_cache(maxsize=1)
def weights() -> Weights:
    """The trained weights, read on first use."""
    rows: dict[str, int] = {}
    numbers = array("h")
    base: tuple[int, ...] = (0,) * len(KINDS)
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


def weigh(clues: Iterable[str], words: Sequence[Word]) -> Weighed:
    """Probabilities for a message; clues and words that aren't known count for nothing.

    They are the geometric mean of those by clues and those by words in order, of which the latter
    have less weight where there is little to put in order.
    """
    say = _SAY[min(len(words), len(_SAY) - 1)]
    both = zip(_by_clues(clues), read_in_order(words), strict=True)
    shares = [(first + _LEAST) ** (1 - say) * (last + _LEAST) ** say for first, last in both]
    whole = sum(shares)
    found = {kind: share / whole for kind, share in zip(KINDS, shares, strict=True)}
    none = found.pop(NONE)
    return Weighed({Symptom(kind): share for kind, share in found.items()}, 1 - none)


def _by_clues(clues: Iterable[str]) -> list[float]:
    known = weights()
    width = len(KINDS)
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
    top = max(scores)
    shares = [math.exp(score - top) for score in scores]
    whole = sum(shares)
    return [share / whole for share in shares]
