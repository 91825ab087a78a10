"""Every "no" about parts: what is the matter and what to do next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from clubbot.chat.words.phrases import View, esc, listed
from clubbot.rules.model import Reason

Facts = Mapping[str, Any]


def _unknown_part(facts: Facts, view: View) -> str:
    word = esc(str(facts.get("word", "")), 60)
    if types := facts.get("types"):
        names = listed([esc(name, 60) for name in types], "or")
        return f"More than one kit type has {word}: {names}. Name a kit of it, such as: D"
    if known := facts.get("parts"):
        return f"No {word} on the contents list. It has: {listed([esc(n, 60) for n in known])}."
    return f"No contents list has {word}. Send kit_types.csv with it; /import says how."


def _not_that_many(facts: Facts, view: View) -> str:
    number, where = facts.get("number", 0), facts.get("where")
    label, part = esc(str(facts.get("label", ""))), esc(str(facts.get("part", "")), 60)
    there = f"{number} {part}" if number else "nothing of that"
    if where == "gap":
        lacks = f"only {number} {part}" if number else f"no {part}" if part else "nothing"
        return f"{label} is known to lack {lacks}. More is missing? Count it: /count {label}"
    if where == "tray":
        return f"{label} has {there} in its tray. Count it first: /count {label}"
    if where == "shelf":
        return f"The shelf has {there}. Counted otherwise? Such as: /parts shelf 12 cables"
    places = {"found": "Found without a home", "broken": "Broken", "supplier": "At the supplier"}
    return f"{places.get(str(where), 'There')}: {there}. /parts shows what is where."


def _no_lender(facts: Facts, view: View) -> str:
    label, why = esc(str(facts.get("label", ""))), facts.get("why")
    if why == "claim":
        return f"{label} is under a claim: the supplier wants it whole. /parts shows others."
    if why == "hold":
        return f"{label} is on hold: an adult looks at it first. /parts shows who else could lend."
    if why == "nothing":
        return f"{label} has none of what is lacking. /parts shows who else could lend."
    return f"{label} is in use. Only a kit that waits for repair lends parts: /parts shows them."


def _cannot_weigh(facts: Facts, view: View) -> str:
    part, why = esc(str(facts.get("part", "")), 60), facts.get("why")
    most, step = facts.get("most", 0), esc(str(facts.get("step", "")), 20)
    if why == "shared":
        others = listed([esc(name, 60) for name in facts.get("others", ())][:5])
        return f"{part} lies together with {others}. Weight can't tell them apart: count by eye."
    if why == "no place":
        return (
            f"Nobody told which compartment {part} lies in. Only one with nothing else in it can "
            "be weighed: column compartment of kit_types.csv. Until then count by eye."
        )
    if why == "no weight":
        return (
            f"Nobody told what one {part} weighs. Weigh ten together; a tenth goes into the column "
            "weight of kit_types.csv. Until then count by eye."
        )
    if why == "too light":
        return f"One {part} is too light for a scale in steps of {step}. Count by eye."
    if why == "too many":
        return (
            f"A scale in steps of {step} tells at most {most} {part} from one more. Count by eye. "
            "Is yours finer? /settings scale 0.1 g"
        )
    if why == "too much":
        return f"That is more {part} than belong there. Is something else in it? Count by eye."
    low, high = facts.get("near", (0, 1))
    return f"That weight is between {low} and {high} {part}. Is the box tared? Else count by eye."


WORDS: dict[Reason, Callable[[Facts, View], str]] = {
    Reason.UNKNOWN_PART: _unknown_part,
    Reason.NOT_THAT_MANY: _not_that_many,
    Reason.NO_LENDER: _no_lender,
    Reason.CANNOT_WEIGH: _cannot_weigh,
}
