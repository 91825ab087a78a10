"""Kits that are numbers, named before a day without the word: "14 and 15 mon 16:00 to 17:30"."""

from __future__ import annotations

import re
from collections.abc import Sequence

_LIST = re.compile(
    r"\s*((?:\d{1,3}\s*(?:,|&|\+|\band\b)\s*)+\d{1,3})\s+(?:on\s+)?(?:next\s+|this\s+)?"
    r"(?:today|tonight|tomorrow|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*)\b",
    re.IGNORECASE,
)


def with_kit_word(text: str, labels: Sequence[str]) -> str:
    """Return a text that begins with several of the club's numbers with the kit word before it."""
    found = _LIST.match(text)
    if found is None or not set(re.findall(r"\d+", found[1])) <= set(labels):
        return text
    return f"kits {text.lstrip()}"
