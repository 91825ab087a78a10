"""What a line about parts says: "found 2 cables", "D broken 1 axle", "D from shelf 2 cables"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from clubbot.rules.entries import Parts
from clubbot.rules.tidy import tidy


class Saying(StrEnum):
    """What can be said of parts."""

    FOUND = "found"
    BOUGHT = "bought"
    ORDERED = "ordered"
    SHELF = "shelf"
    TO_SHELF = "to shelf"
    SENT = "sent"
    REPLACED = "replaced"
    BROKEN = "broken"
    SHORT = "short"
    OUT = "taken out"
    FROM_SHELF = "from shelf"
    FROM_FOUND = "from found"
    TURNED_UP = "turned up"
    FROM_KIT = "from kit"


@dataclass(frozen=True, slots=True)
class Told:
    """What a line says; `kit` and `other` are labels, empty where none is named.

    Parts are named as they were typed; none where the line leaves open which.
    """

    what: Saying
    kit: str
    other: str
    parts: Parts


_SHELF = r"(?:the\s+)?(?:shelf|spares?)"
_OF_A_KIT = (
    (Saying.FROM_SHELF, rf"from\s+{_SHELF}"),
    (Saying.FROM_FOUND, r"from\s+(?:the\s+)?found(?:\s+ones)?"),
    (Saying.TURNED_UP, r"found|turned\s+up"),
    (Saying.OUT, rf"(?:in|on)?to\s+{_SHELF}"),
    (Saying.BROKEN, r"(?:is\s+|are\s+)?(?:broken|broke|snapped|cracked|bent)"),
    (Saying.SHORT, r"(?:is\s+|are\s+)?(?:lost|missing|gone|short(?:\s+of)?|lacks|without)"),
)
_OF_NONE = (
    (Saying.TO_SHELF, rf"(?:found\s+)?(?:in|on)?to\s+{_SHELF}"),
    (Saying.REPLACED, r"replaced|(?:back\s+)?from\s+(?:the\s+)?supplier"),
    (Saying.SENT, r"sent(?:\s+off)?|to\s+(?:the\s+)?supplier"),
    (Saying.FOUND, r"found"),
    (Saying.BOUGHT, r"bought|delivered|arrived|came"),
    (Saying.ORDERED, r"ordered"),
    (Saying.BROKEN, r"(?:shelf\s+)?broken"),
    (Saying.SHELF, r"(?:on\s+)?(?:the\s+)?shelf"),
)
_NUMBERS = {
    word: number
    for number, words in enumerate(
        ("no", "a an one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    )
    for word in words.split()
}
_PIECE = re.compile(
    rf"(?:(\d{{1,5}})\s*(?:x\s+)?|({'|'.join(_NUMBERS)})\s+)?([^\d\s].*)", re.IGNORECASE
)
_BETWEEN = re.compile(r"\s*(?:[,;&+]|\band\b)\s*", re.IGNORECASE)


def read_parts(text: str, labels: Sequence[str]) -> Told | None:
    """Return what a line says of parts, or None where it can't be read."""
    kit, rest = _label_first(tidy(text), labels)
    if kit:
        lent = _from_kit(rest, labels)
        if lent is not None:
            return Told(Saying.FROM_KIT, kit, *lent)
    for what, words in _OF_A_KIT if kit else _OF_NONE:
        parts = _without(words, rest)
        if parts is not None and (parts or what in (Saying.FROM_SHELF, Saying.FROM_FOUND)):
            return Told(what, kit, "", parts)
    return None


def _label_first(text: str, labels: Sequence[str]) -> tuple[str, str]:
    text = re.sub(r"^kit\s+", "", text, flags=re.IGNORECASE)
    for label in sorted(labels, key=len, reverse=True):
        head, after = text[: len(label)], text[len(label) :]
        if head.casefold() == label.casefold() and after[:1] in (" ", ":"):
            return label, after.lstrip(" :")
    return "", text


def _from_kit(text: str, labels: Sequence[str]) -> tuple[str, Parts] | None:
    for label in sorted(labels, key=len, reverse=True):
        parts = _without(rf"from\s+(?:kit\s+)?{re.escape(label)}", text)
        if parts is not None:
            return label, parts
    return None


def _without(words: str, text: str) -> Parts | None:
    """Return the parts that a text names before or after these words; None if they aren't there."""
    first = re.match(rf"(?:{words})(?![\w])[:,]?\s*(.*)$", text, re.IGNORECASE)
    last = re.match(rf"(.*\S)\s+(?:{words})$", text, re.IGNORECASE)
    found = first or last
    return _parts(found[1]) if found else None


def _parts(text: str) -> Parts:
    """Return the parts of a list such as "2 cables, an axle and 3 pins"."""
    numbers: dict[str, int] = {}
    for piece in _BETWEEN.split(text):
        found = _PIECE.fullmatch(piece.strip(" ."))
        if found is not None:
            number = int(found[1] or _NUMBERS.get((found[2] or "a").casefold(), 1))
            numbers[found[3]] = numbers.get(found[3], 0) + number
    return tuple(sorted(numbers.items()))
