"""What is to blame for a fault, and what that tells of the battery."""

from __future__ import annotations

import re
from collections.abc import Mapping

from clubbot.rules.faults.knowledge import Knowledge
from clubbot.rules.faults.symptoms import Symptom

MOST = 0.5
"""From this share of the likely causes on a thing is to blame; below it is the kit."""
TELLS_OF_BATTERY = frozenset({Symptom.SHORT_RUN, Symptom.LOSES_POWER})
"""Symptoms by which somebody says that a unit stopped while it was in use."""

LONGEST = 600
_AFTER = re.compile(r"\b(?:after|for|in|lasts?)\s+(?:\w+\s+)?(\d{1,3})\s*min", re.IGNORECASE)


def blamed(knowledge: Knowledge, belief: Mapping[str, float], cause: str = "") -> str:
    """Return the kind of thing to blame, such as tablet; empty: none, so it is the kit.

    `belief` has the chance of each cause; `cause` is the one that was found, where it was.
    """
    if cause in knowledge.causes:
        return knowledge.causes[cause].item
    shares: dict[str, float] = {}
    for code, share in belief.items():
        kind = knowledge.causes[code].item
        shares[kind] = shares.get(kind, 0.0) + share
    whole = sum(shares.values())
    kind, share = max(shares.items(), key=lambda pair: pair[1], default=("", 0.0))
    return kind if kind and share >= MOST * whole else ""


def driven_empty(
    knowledge: Knowledge, symptom: str, belief: Mapping[str, float], cause: str = ""
) -> float:
    """Return the chance that a fault means a battery driven empty, 0 where it says nothing of it.

    A loose battery, one left on in its tray or a charge that was broken off says nothing of how
    long a full charge lasts.
    """
    if symptom not in TELLS_OF_BATTERY:
        return 0.0
    if cause in knowledge.causes:
        return 1.0 if knowledge.causes[cause].flat else 0.0
    return sum(share for code, share in belief.items() if knowledge.causes[code].flat)


def ran_for(text: str) -> int | None:
    """Return after how many minutes a unit stopped, where a report says so."""
    found = _AFTER.search(text)
    return int(found[1]) if found and 0 < int(found[1]) <= LONGEST else None


def likely_fixes(knowledge: Knowledge, belief: Mapping[str, float], most: int) -> tuple[str, ...]:
    """Return the causes whose fixes are most likely what was done, best first, one for each fix."""
    found: dict[str, str] = {}
    for code in sorted(belief, key=lambda code: (-belief[code], code)):
        found.setdefault(knowledge.causes[code].did, code)
    return tuple(found.values())[:most]
