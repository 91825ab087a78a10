"""Which kits wear out: how often they fail for their use, and what the numbers allow to be said."""

from clubbot.rules.wear.report import (
    LEAST_FOR_TREND,
    SAME_FAULT,
    Advice,
    Comparison,
    Failing,
    Use,
    Wear,
    look,
    same_fault_again,
)

__all__ = [
    "LEAST_FOR_TREND",
    "SAME_FAULT",
    "Advice",
    "Comparison",
    "Failing",
    "Use",
    "Wear",
    "look",
    "same_fault_again",
]
