"""Small words that say what the next piece is for."""

from __future__ import annotations

from clubbot.rules.reading.pieces import Found, Link
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import WEEKDAYS

LINKS = {
    "from": "from",
    "between": "between",
    "at": "at",
    "@": "at",
    "on": "on",
    "to": "to",
    "-": "to",
    "until": "until",
    "ending": "until",
    "by": "by",
    "and": "and",
    "or": "or",
    "&": "and",
    "after": "from",
    "before": "until",
    "overnight": "overnight",
    "for": "for",
    "weekly": "every",
    "not": "not",
    "through": "to",
    ",": ",",
}
_CORRECTIONS = (
    ("no", "wait"),
    ("no", ",", "wait"),
    ("no", "sorry"),
    ("no", ",", "sorry"),
    ("i", "mean"),
    ("make", "that"),
    ("make", "it"),
    ("scratch", "that"),
    ("actually",),
    ("sorry",),
    ("wait",),
    ("rather",),
    ("correction",),
)


def link_at(line: Line, at: int) -> Found:
    """A linking word, or the words with which people correct themselves."""
    if line.is_at(at, "every", "week"):
        return Link("every"), at + 2
    for phrase in _CORRECTIONS:
        if line.is_at(at, *phrase):
            return Link("correction"), at + len(phrase)
    if line.low(at) == "/" and line.low(at + 1) in WEEKDAYS:
        return Link("or"), at + 1
    word = LINKS.get(line.low(at))
    if word is None:
        return None
    if line.low(at) == "-" and line.low(at + 1) == "-":
        return None
    after = at + 1
    if line.low(at) == "up" and line.low(at + 1) == "to":
        return Link("until"), at + 2
    return Link(word), after
