"""What is said of claims in several places: with what care they go, and every "no" about them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from clubbot.chat.words.phrases import View
from clubbot.rules.model import Reason

CARE = (
    "<b>Careful:</b> don't film it, don't post it, don't charge it. Keep it where it can do no "
    "harm. It goes to a collection point, or as the supplier and the maker's guide say."
)
"""What an adult reads with every claim of a danger."""

WORDS: dict[Reason, Callable[[Mapping[str, Any], View], str]] = {
    Reason.AT_SUPPLIER: lambda facts, view: (
        f"Fault {facts.get('number', '')} waits for the supplier. "
        "An adult notes what came back first."
    ),
    Reason.NOTHING_BROKEN: lambda facts, view: (
        f"Fault {facts.get('number', '')} is about somebody, so there is nothing to claim. Is "
        f"something broken? Tap what it is: /faults {facts.get('number', '')}"
    ),
    Reason.DAMAGED_BATTERY: lambda facts, view: (
        "A damaged battery isn't repaired, and never charged again. Such as: "
        f"/claim {facts.get('number', '')} replaced S-99, or "
        f"/claim {facts.get('number', '')} refused"
    ),
}
