"""What people said, without the names of those whom the club knows: for readers outside it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from clubbot.rules.faults.naming_words import WORDS

SOMEBODY = "somebody"
_WORD = re.compile(r"[^\W_]+(?:-[^\W_]+)*")
_AGAIN = re.compile(rf"\b{SOMEBODY}(?: {SOMEBODY})+\b")


def nameless(text: str, names: Iterable[str], labels: Iterable[str] = ()) -> str:
    """Return a text with each of these people's names as "somebody", a surname behind it too.

    A name that is a common word, such as Will, is one only where it is written as a name; a kit's
    label never is.
    """
    kept = {label.casefold() for label in labels}
    every = {word for name in names for word in _WORD.findall(name) if _long(word, kept)}
    low = {word.casefold() for word in every} - WORDS.ordinary
    exact = {word for word in every if word[0].isupper()}
    before = False

    def instead(found: re.Match[str]) -> str:
        nonlocal before
        word = found[0]
        strange = _long(word, kept) and word.casefold() not in WORDS.ordinary
        behind = before and text[: found.start()].endswith(" ")
        surname = behind and word[0].isupper() and strange
        before = word in exact or word.casefold() in low or surname
        return SOMEBODY if before else word

    return _AGAIN.sub(SOMEBODY, _WORD.sub(instead, text))


def _long(word: str, kept: set[str]) -> bool:
    return len(word) > 1 and word.casefold() not in kept
