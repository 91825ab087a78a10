"""What is counted of the hidden-truth check, and how it is reported: shares with intervals."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from math import sqrt

import numpy as np


@dataclass(slots=True)
class Tally:
    """What is counted over clubs; `stated` has (chance, lasted) of every use."""

    terms: int = 0
    uses: int = 0
    ready: int = 0
    spoiled: int = 0
    flat_at_start: int = 0
    causes: Counter[str] = field(default_factory=Counter)
    revealed: int = 0
    weak: int = 0
    found: int = 0
    open: int = 0
    missed: int = 0
    healthy_years: float = 0.0
    accused: int = 0
    between: int = 0
    asked_tests: int = 0
    bay_hours: list[float] = field(default_factory=list)
    walks: list[int] = field(default_factory=list)
    stated: list[tuple[float, bool]] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))


def wilson(part: int, whole: int, z: float = 1.96) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson's score interval, NIST handbook 7.2.4.1)."""
    if not whole:
        return 0.0, 1.0
    p, n = part / whole, whole
    middle, half = p + z * z / (2 * n), z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return max(0.0, middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)


def _share(name: str, part: int, whole: int) -> str:
    low, high = wilson(part, whole)
    share = part / whole if whole else 0
    return f"  {name:<58} {share:7.2%}  ({low:.2%} to {high:.2%})  {part} of {whole}"


def _mean(name: str, values: list[float] | list[int]) -> str:
    mean = float(np.mean(values))
    half = 1.96 * float(np.std(values)) / sqrt(len(values))
    return f"  {name:<58} {mean:7.1f}  ({mean - half:.1f} to {mean + half:.1f})"


def calibration(stated: list[tuple[float, bool]]) -> list[tuple[float, float, int]]:
    """Return for each band of stated chances (mean stated, share that lasted, uses)."""
    bands: dict[int, list[tuple[float, bool]]] = {}
    edges = np.array([0.5, 0.8, 0.9, 0.95, 0.98])
    for each in stated:
        bands.setdefault(int(np.searchsorted(edges, each[0])), []).append(each)
    return [
        (
            float(np.mean([chance for chance, _ in band])),
            float(np.mean([lasted for _, lasted in band])),
            len(band),
        )
        for _, band in sorted(bands.items())
    ]


def report(name: str, tally: Tally) -> str:
    """Return what is reported of one way of keeping batteries charged."""
    lines = [f"{name}: {tally.terms} terms, {tally.uses} kit-sessions"]
    if tally.ready < tally.uses:
        lines.append(_share("said not to be ready", tally.uses - tally.ready, tally.uses))
    lines += [
        _share("ran flat although said ready", tally.spoiled, tally.ready),
        _share("  of these flat at the start", tally.flat_at_start, tally.ready),
        "    by cause: " + ", ".join(f"{why} {n}" for why, n in sorted(tally.causes.items())),
        _share("apart: first showed that a battery is weak", tally.revealed, tally.ready),
    ]
    if name.startswith("bot"):
        judged = tally.weak - tally.open
        lines += [
            _share("weak found within three spoiled or nearly spoiled uses", tally.found, judged),
            _share("weak never found (with those that were hardly used)", tally.missed, tally.weak),
            _share("healthy accused, of battery-years", tally.accused, round(tally.healthy_years)),
            f"  run-time tests of one battery asked for, and made: {tally.asked_tests}",
            f"  neither weak nor up to the need, accused: {tally.between}",
        ]
        lines += [
            f"  stated {said:6.1%}, lasted {lasted:6.1%}, {uses} uses"
            for said, lasted, uses in calibration(tally.stated)
        ]
    lines += [_mean("bay-hours a term", tally.bay_hours), _mean("walks a term", tally.walks)]
    return "\n".join(lines)
