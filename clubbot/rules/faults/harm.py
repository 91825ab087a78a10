"""What a danger does: to somebody, by the thing itself or its battery; and where it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from clubbot.rules.faults.clues import KIT, words_of
from clubbot.rules.faults.danger import names_battery, signs_of
from clubbot.rules.faults.naming import find_mentions
from clubbot.rules.faults.spelling import tokenise


class Harm(StrEnum):
    """What may have happened to somebody."""

    HURT = "hurt"
    CAUGHT = "caught"
    SWALLOWED = "swallowed"


OF_PEOPLE = {
    "someone hurt": Harm.HURT,
    "someone unwell": Harm.HURT,
    "hair, fingers or clothes caught": Harm.CAUGHT,
    "swallowed": Harm.SWALLOWED,
}
"""The signs that are about somebody; all others are about the thing."""
OF_BATTERY = frozenset(
    {"swelling", "shape of a battery", "stuff from a battery", "a battery ill-treated"}
)
OF_NOTHING = frozenset({"asked whether it is safe"})
"""Signs that say neither who nor what."""
_POINTING = re.compile(
    r"its?|is|was|in|inside|on|of|from|at|with|the|a|this|that|thats|here|one|kits?|robot|bot|unit|"
    r"hub|number-?|i|we|mean|meant|my|ours|and|no|sorry|oh|omg|help|please|quick|sir|miss|[.,!?]|"
    + re.escape(KIT)
)
"""Words that may stand beside a label where nothing else is said: "sorry, it's in kit C"."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """`harm`: what may have happened to somebody; `thing`: the thing itself may still do harm;
    `battery`: that is about its battery."""

    harm: tuple[Harm, ...]
    thing: bool
    battery: bool


def read_hazard(text: str, labels: Sequence[str]) -> Hazard:
    """What a danger does, by the words that it was reported in."""
    line = tokenise(text)
    words = words_of(line, find_mentions(line, labels))
    signs = signs_of(words)
    harm = tuple(each for each in Harm if each in {OF_PEOPLE.get(sign) for sign in signs})
    thing = not harm or not {*signs} <= {*OF_PEOPLE, *OF_NOTHING}
    battery = names_battery(words) or (not harm and not OF_BATTERY.isdisjoint(signs))
    return Hazard(harm, thing, battery and {Harm.CAUGHT, Harm.SWALLOWED}.isdisjoint(harm))


def names_only(text: str, labels: Sequence[str]) -> tuple[str, ...]:
    """The kits that a message names, where it says nothing else: "C", or "sorry, it's kit C"."""
    bare = [] if "kit" in text.casefold() else [f"kit {text}"]
    for said in (text, *bare):
        line = tokenise(said)
        mentions = find_mentions(line, labels)
        lows = {word.low for word in words_of(line, mentions)}
        if KIT in lows and all(_POINTING.fullmatch(low) for low in lows):
            return tuple(dict.fromkeys(mention.label for mention in mentions))
    return ()
