"""How to say what isn't understood of batteries, in one line each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from clubbot.chat.words.phrases import esc, listed

Facts = Mapping[str, Any]

_HOW = {
    "battery": "What does it show? Such as: /battery D 40 %, D two bars, D ran flat after 20 min",
    "level": "A level is 0 to 100 %. Such as: /battery D 40 %.",
    "bars": "I count up to 4 bars. More in all? Such as: /battery D 3 of 5 bars.",
    "minutes": "Minutes are 1 to 600. Such as: /battery D ran flat after 20 min.",
    "won't wake": "One that won't wake: an adult, the maker's guide, never left alone. "
    "To report it: /fault D won't wake",
    "one battery": "One kit at a time, please. Such as: /battery D 40 %.",
    "charge": "What was charged? Such as: /charged D F, /charged all except D, or /charged D 80 %.",
}


def _own_name(facts: Facts) -> str:
    kind, label = esc(facts["kind"]), listed([esc(each) for each in facts["labels"]])
    return (
        f"{label} is a kit with no {kind} listed. What is written on the {kind}? "
        f"Such as: /fit {kind} B7 to D"
    )


def _not_in_test(facts: Facts) -> str:
    label = listed([esc(each) for each in facts["labels"]])
    return f"{label} isn't in this test. /testday shows which are."


def _fixed(text: str) -> Callable[[Facts], str]:
    return lambda facts: text


HOW: dict[str, Callable[[Facts], str]] = {
    **{wanted: _fixed(text) for wanted, text in _HOW.items()},
    "own name": _own_name,
    "kit of the test": _not_in_test,
}
"""How to say it, by what was wanted."""
