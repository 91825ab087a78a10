"""Whether a kit is meant where its label is spelled: clues weighed, the rules' word among them.

A logistic regression whose weights are plain numbers in naming.tsv; tests/bench/fault_naming.py
works them out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from importlib.resources import files

from clubbot.rules.faults.naming_clues import clues_around
from clubbot.rules.faults.naming_places import Candidate
from clubbot.rules.faults.naming_rules import ruled
from clubbot.rules.faults.poorly import well_ones
from clubbot.rules.faults.spelling import Line

BASE_MEANT = "base meant"
BASE_AT_FAULT = "base at fault"
SCALE = 100
"""The file holds hundredths."""
MEANT_FROM = 0.5
AT_FAULT_FROM = 0.35
"""Lower, as a kit that is left out of a report does more harm than one too many."""


@lru_cache(maxsize=1)
def _weights() -> dict[str, int]:
    """Each clue's weight, read on first use."""
    found: dict[str, int] = {}
    text = files("clubbot.rules.faults").joinpath("naming.tsv").read_text(encoding="utf-8")
    for line in text.splitlines():
        if not line.startswith("#"):
            clue, _, number = line.rpartition("\t")
            found[clue] = int(number)
    return found


def clued(line: Line, candidates: Sequence[Candidate]) -> Iterator[tuple[set[str], set[str]]]:
    """Each candidate's clues of being meant and of being at fault, with what the rules say."""
    by_rule = ruled(line, candidates)
    well = frozenset(each.first for each in well_ones(line, by_rule))
    return clues_around(line, candidates, frozenset(each.first for each in by_rule), well)


def meant(line: Line, candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates that are likely meant; those only compared with are marked as not poorly."""
    found: list[Candidate] = []
    if not candidates:
        return found
    for each, (clues, compared) in zip(candidates, clued(line, candidates), strict=True):
        if _chance(clues, BASE_MEANT) >= MEANT_FROM:
            at_fault = not compared or _chance(compared, BASE_AT_FAULT) >= AT_FAULT_FROM
            found.append(replace(each, poorly=at_fault))
    return found


def _chance(clues: set[str], base: str) -> float:
    weights = _weights()
    total = sum(weights.get(clue, 0) for clue in clues) / math.sqrt(len(clues))
    return 1 / (1 + math.exp(-(weights[base] + total) / SCALE))
