"""What a message says about faults: whether, of which kits, which symptom, and danger first."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.faults.clues import KIT, Word, clues_of, words_of
from clubbot.rules.faults.danger import find_danger, is_saying
from clubbot.rules.faults.naming import find_mentions
from clubbot.rules.faults.poorly import at_fault, beside_the_point
from clubbot.rules.faults.sequence import LONGEST
from clubbot.rules.faults.spelling import tokenise
from clubbot.rules.faults.symptoms import FaultReading, Symptom
from clubbot.rules.faults.weighing import Weighed, weigh

FAULT_FROM = 0.65
"""From this probability on a message counts as a fault; set on writers kept out of training."""
DOUBT_FROM = 0.1
"""From this probability on it is said which symptom it would be, even where it counts as none."""
DANGER_FROM = 0.15
"""From this probability on danger is raised even where no sign was recognised."""
SAYING_FROM = 0.6
"""The same for a message with a saying in it, such as hot chocolate or a power cut, and for one of
so few words that little speaks for anything; small pictures speak for themselves."""
_SHORT = 2
_TOLD = 2
"""So many words must say something: "when I can" is about nothing."""
_CLEAR = 0.4
"""Of a word or two some symptom must be so likely: "B Blue" is a kit and a team."""
SIGN_FROM = 0.015
"""Below this probability a sign is taken for a joke or a story: smoke on the telly."""
_DANGER_SHARE = 0.9
_DOUBT_SHARE = 0.1
_LEAST_SHARE = 0.001


def read_fault(text: str, labels: Sequence[str]) -> FaultReading:
    """What a text says about faults; `labels` are the club's kits. Never raises for any text."""
    line = tokenise(text)
    mentions = find_mentions(line, labels)
    words = words_of(line, mentions)
    named = tuple(dict.fromkeys(mention.label for mention in mentions))
    if all(word.low == KIT for word in words):
        return FaultReading(False, named, None, (), danger=False, fire=False, p_fault=0.0)
    about = words_of(line, mentions, beside_the_point(line, mentions))
    weighed = weigh(clues_of(line, about), about)
    believed = weighed.danger >= SIGN_FROM or len(about) > LONGEST
    sign = find_danger(words) if believed else None
    danger = sign is not None or _sounds_like_danger(weighed, words)
    p_fault = max(weighed.fault, 0.99) if danger else weighed.fault
    vague = len(words) <= _SHORT and max(weighed.symptoms.values()) < _CLEAR
    fault = danger or (p_fault >= FAULT_FROM and not vague)
    also = sign.also if sign else None
    alternatives = _alternatives(weighed, p_fault, danger, also) if p_fault >= DOUBT_FROM else ()
    return FaultReading(
        fault=fault,
        kits=at_fault(line, mentions) if fault else named,
        symptom=alternatives[0][0] if fault else None,
        alternatives=alternatives,
        danger=danger,
        fire=sign is not None and sign.fire,
        p_fault=round(p_fault, 4),
    )


def _sounds_like_danger(weighed: Weighed, words: Sequence[Word]) -> bool:
    if weighed.danger < DANGER_FROM:
        return False
    if weighed.danger >= SAYING_FROM:
        return True
    little = len(words) <= _SHORT and all(w.low.isalpha() or w.low == KIT for w in words)
    told = sum(bool(w.notions) or w.low == KIT for w in words)
    return told >= _TOLD and not little and not is_saying(words)


def _alternatives(
    weighed: Weighed, p_fault: float, danger: bool, also: Symptom | None
) -> tuple[tuple[str, float], ...]:
    """Symptoms with their probabilities, which together are at most that of a fault.

    Danger takes its share first; the others are to each other as they were weighed, but the one
    that the words of the danger point to comes before them.
    """
    first = _DANGER_SHARE if danger else min(_DOUBT_SHARE, weighed.danger)
    shares = dict(weighed.symptoms)
    shares.pop(Symptom.BATTERY_DANGER)
    if also:
        shares[also] += max(shares.values())
    rest = max(sum(shares.values()), 1e-9)
    shares = {name: share / rest * (1 - first) for name, share in shares.items()}
    shares[Symptom.BATTERY_DANGER] = first
    ranked = sorted(shares.items(), key=lambda item: -item[1])
    found = [(str(name), int(share * p_fault * 10_000) / 10_000) for name, share in ranked]
    kept = [each for each in found if each[1] >= _LEAST_SHARE]
    return tuple(kept or found[:1])
