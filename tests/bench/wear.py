"""How often wear accuses a healthy fleet of 12 in a school year, and how soon it finds a bad kit.

    python -m tests.bench.wear [--years 1000]

Each year has three terms of 24 sessions, half an hour of driving each; a healthy kit fails once in
so many hours as is said. Intervals are Wilson's at 95 %.
"""

from __future__ import annotations

import argparse
import random
from datetime import UTC, datetime, timedelta
from math import sqrt

from clubbot.rules.model import KitId
from clubbot.rules.wear import Comparison, Failing, Use, look

START = datetime(2026, 9, 1, tzinfo=UTC)
KITS, TERMS, SESSIONS, HOURS = 12, 3, 24, 0.5
BAD = (Comparison.WORSE, Comparison.WORSENING)


def year(rng: random.Random, rates: list[float], terms: int = TERMS) -> list[set[int]]:
    """Play terms; return which kits are accused at the end of each."""
    faults: list[list[Failing]] = [[] for _ in rates]
    hours, found = 0.0, []
    for term in range(terms):
        for session in range(SESSIONS):
            at = START + timedelta(days=term * 120 + session * 3.5)
            for kit, rate in enumerate(rates):
                if rng.random() < rate * HOURS:
                    faults[kit].append(Failing("frozen", at, hours + HOURS * rng.random() + 1e-9))
            hours += HOURS
        uses = [
            Use(KitId(kit), SESSIONS * (term + 1), hours, tuple(faults[kit]))
            for kit in range(len(rates))
        ]
        began = START + timedelta(days=term * 120)
        seen = look(uses, began, under_warranty={}, repairs={})
        found.append({int(each.kit) for each in seen if each.said in BAD})
    return found


def share(hits: int, of: int) -> str:
    """Return a share with its Wilson interval."""
    p, z = hits / of, 1.96
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return f"{100 * p:.1f} % ({100 * (middle - half):.1f} to {100 * (middle + half):.1f})"


def main() -> None:
    options = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    options.add_argument("--years", type=int, default=1000)
    years = options.parse_args().years
    rng = random.Random(20261126)
    for every in (20, 10, 5):
        rate = 1 / every
        wrong = sum(any(year(rng, [rate] * KITS)) for _ in range(years))
        print(f"a fault in {every} h: healthy fleets accused in a year {share(wrong, years)}")
        for times in (3, 5):
            rates = [times * rate] + [rate] * (KITS - 1)
            runs = [year(rng, rates, 6) for _ in range(years // 4)]
            by = [sum(any(0 in term for term in run[:n]) for run in runs) for n in range(1, 7)]
            told = ", ".join(f"{100 * each / len(runs):.0f} %" for each in by)
            print(f"  a kit at {times} times that rate is found by the end of term 1 to 6: {told}")


if __name__ == "__main__":
    main()
