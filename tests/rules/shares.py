"""Shares of messages that are read as people would expect, with what chance allows around them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from pathlib import Path

from clubbot.rules.faults import FaultReading, read_fault

PHRASES = Path(__file__).parent / "phrases"
_Z95 = 1.96


@dataclass(frozen=True, slots=True)
class Share:
    """`hits` of `tries`, with the Wilson 95 % interval (Wilson 1927; NIST e-Handbook 7.2.4.1)."""

    hits: int
    tries: int

    @property
    def value(self) -> float:
        return self.hits / self.tries

    @property
    def interval(self) -> tuple[float, float]:
        share, spread = self.value, _Z95**2 / self.tries
        middle = (share + spread / 2) / (1 + spread)
        half = (
            _Z95 * sqrt(share * (1 - share) / self.tries + spread / self.tries / 4) / (1 + spread)
        )
        return max(0.0, middle - half), min(1.0, middle + half)

    def __str__(self) -> str:
        low, high = self.interval
        return f"{self.hits}/{self.tries} = {self.value:.1%} ({low:.1%} to {high:.1%})"


@dataclass(frozen=True, slots=True)
class Reading:
    """What people expect of a message, and what is read in it."""

    fault: bool
    danger: bool
    kits: frozenset[str]
    symptoms: frozenset[str | None]
    found: FaultReading

    def among(self, top: int) -> bool:
        """True when a fault is found, and one of the first `top` symptoms is right."""
        return self.found.fault and self.told(top)

    def told(self, top: int) -> bool:
        """The same for what is told in doubt, too, where no fault is found."""
        return any(code in self.symptoms for code, _ in self.found.alternatives[:top])


@lru_cache(maxsize=8)
def readings(name: str) -> tuple[Reading, ...]:
    """Each message of a file in phrases/, read once."""
    lines = (PHRASES / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
    return tuple(_reading(json.loads(line)) for line in lines)


def _reading(row: dict[str, object]) -> Reading:
    expect, labels = row["expect"], row["labels"]
    assert isinstance(expect, dict)
    assert isinstance(labels, list)
    return Reading(
        expect["fault"],
        expect["danger"],
        frozenset(expect["kits"]),
        frozenset([expect["symptom"], *expect.get("also", [])]),
        read_fault(str(row["text"]), labels),
    )


def share(answers: Iterable[bool]) -> Share:
    told = list(answers)
    return Share(sum(told), len(told))
