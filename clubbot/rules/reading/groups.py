"""Classes, rooms and people: numbers that are part of a name, and no count, time or date."""

from __future__ import annotations

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.pieces import Found, Other
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import GROUPS, KIT, NUMBER_WORDS, PEOPLE


def group_after(line: Line, at: int) -> int | None:
    """ "class 3B", "year 9", "7B", "P6": a number that is part of a name."""
    raw = line.raw(at).lower()
    if raw in GROUPS and line.low(at + 1) in NUMBER_WORDS and raw not in {"team", "table"}:
        return at + 2
    if raw.removesuffix("s") in GROUPS | {"classe", "klasse"} and line.kind(at + 1) == "num":
        after = at + 2 + (line.kind(at + 2) == "word" and line.glued(at + 2))
        pair = line.low(after) in {"and", "&", "-", "/"} and line.kind(after + 1) == "num"
        return after + 2 if pair and raw.endswith("s") and raw != "class" else after
    if raw in GROUPS and line.kind(at + 1) == "slash":
        return at + 2
    coded = line.kind(at) == "num" and line.kind(at + 1) == "word" and line.glued(at + 1)
    letter = line.raw(at + 1)
    if coded and len(letter) == 1 and (letter.isupper() or letter in "abcdefg"):
        return at + 2
    if coded and line.low(at + 1) in {"st", "nd", "rd", "th"}:
        year = line.raw(at + 2).lower().removesuffix("s")
        return at + 3 if year in GROUPS - {"table", "room", "lab"} else None
    if line.kind(at) == "word" and line.kind(at + 1) == "num" and line.glued(at + 1):
        return at + 2 if len(line.raw(at)) <= 2 and line.low(at) != "x" else None
    return None


def _tells_age(line: Line, at: int) -> bool:
    """ "I'm 12", "she is 8", "we are 6"."""
    before = line.raw(at - 1).lower()
    if before in {"i'm", "im", "she's", "shes", "he's", "hes", "we're", "were", "aged", "age"}:
        return True
    who = line.raw(at - 2).lower()
    return before in {"am", "are", "is"} and who in {"i", "we", "she", "he", "they", "there"}


def people_after(line: Line, at: int) -> int | None:
    number = number_at(line, at)
    if number is None:
        return None
    if _tells_age(line, at) and line.low(number[1]) not in KIT:
        return number[1]
    if line.is_at(number[1], "of", "us") or line.is_at(number[1], "of", "them"):
        return number[1] + 2 if line.low(number[1] + 1) == "us" else None
    raw = line.raw(number[1]).lower()
    years = raw in {"years", "yrs", "yo", "yr", "year"} and line.low(number[1] + 1) != "group"
    if years or raw in {"%", "euro", "euros", "pounds", "dollars", "cm", "km", "kg"}:
        return number[1] + 1 + (line.low(number[1] + 1) in {"old", "olds"})
    return number[1] + 1 if line.low(number[1]) in PEOPLE else None


def ranked_group_at(line: Line, at: int) -> Found:
    """ "2nd year", "6th class": no date."""
    after = group_after(line, at) if line.kind(at) == "num" else None
    return (Other(), after) if after == at + 3 else None


def group_at(line: Line, at: int) -> Found:
    """A class or room named without "for": it is no count and no time."""
    after = group_after(line, at)
    if after is not None and (line.raw(at).lower() in GROUPS or line.kind(at) == "num"):
        return Other(), after
    people = people_after(line, at)
    return (Other(), people) if people is not None else None
