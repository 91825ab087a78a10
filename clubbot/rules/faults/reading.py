"""What a message says about faults: whether, of which kits, which symptom, and danger first."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.faults.clues import clues_of, words_of
from clubbot.rules.faults.danger import find_danger
from clubbot.rules.faults.naming import at_fault, find_mentions
from clubbot.rules.faults.spelling import tokenise
from clubbot.rules.faults.symptoms import FaultReading, Symptom
from clubbot.rules.faults.weighing import Weighed, weigh

FAULT_FROM = 0.6
"""From this probability on a message counts as a fault; set on the tuned half."""
_DANGER_SHARE = 0.9
_LEAST_SHARE = 0.001


def read_fault(text: str, labels: Sequence[str]) -> FaultReading:
    """What a text says about faults; `labels` are the club's kits. Never raises for any text."""
    line = tokenise(text)
    mentions = find_mentions(line, labels)
    words = words_of(line, mentions)
    weighed = weigh(clues_of(line, words))
    danger = find_danger(words)
    p_fault = max(weighed.fault, 0.99) if danger else weighed.fault
    fault = danger is not None or p_fault >= FAULT_FROM
    named = tuple(dict.fromkeys(mention.label for mention in mentions))
    alternatives = _alternatives(weighed, p_fault, danger is not None) if fault else ()
    return FaultReading(
        fault=fault,
        kits=at_fault(line, mentions) if fault else named,
        symptom=alternatives[0][0] if alternatives else None,
        alternatives=alternatives,
        danger=danger is not None,
        fire=danger is not None and danger.fire,
        p_fault=round(p_fault, 4),
    )


def _alternatives(weighed: Weighed, p_fault: float, danger: bool) -> tuple[tuple[str, float], ...]:
    """Symptoms with their probabilities, which together are at most that of a fault."""
    shares = dict(weighed.symptoms)
    if danger:
        rest = 1 - shares.pop(Symptom.BATTERY_DANGER)
        shares = {name: share / rest * (1 - _DANGER_SHARE) for name, share in shares.items()}
        shares[Symptom.BATTERY_DANGER] = _DANGER_SHARE
    ranked = sorted(shares.items(), key=lambda item: -item[1])
    found = [(str(name), int(share * p_fault * 10_000) / 10_000) for name, share in ranked]
    kept = [each for each in found if each[1] >= _LEAST_SHARE]
    return tuple(kept or found[:1])
