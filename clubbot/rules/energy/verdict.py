"""When a battery is called worn: only where it is almost certain."""

from __future__ import annotations

from clubbot.rules.energy.belief import Belief, chance_worn

WORN_SHARE = 0.75
"""A battery that gives less than this share of the usual run time counts as worn: three usual
sessions no longer fit (common practice, no source)."""
ALMOST_CERTAIN, DOUBTFUL = 0.97, 0.3


def certainly_worn(belief: Belief, usual: float) -> bool:
    """Say whether a battery of a type that usually drives so many minutes is to be called worn."""
    return chance_worn(belief, WORN_SHARE * usual) >= ALMOST_CERTAIN


def doubtful(belief: Belief, usual: float) -> bool:
    """Say whether a run-time test would be worth it."""
    return DOUBTFUL <= chance_worn(belief, WORN_SHARE * usual) < ALMOST_CERTAIN
