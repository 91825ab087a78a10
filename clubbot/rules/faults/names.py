"""A club's labels made ready for looking up."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from clubbot.rules.faults.naming_words import WORDS

_PARTS = re.compile(r"\d+|[^\W\d_]+(?:'[^\W\d_]+)*")
_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TELLING = 5
_TENS = {20: "twenty", 30: "thirty", 40: "forty", 50: "fifty", 60: "sixty"}


@dataclass(frozen=True, slots=True)
class Names:
    """`by_parts` finds a label by its words, `by_number` by the number that only it ends with.

    `kinds` says of each label whether it is a letter, a number, a code (R1) or a word.
    """

    by_parts: dict[tuple[str, ...], str]
    by_number: dict[str, str]
    kinds: dict[str, str]
    number_words: frozenset[str]
    long_words: tuple[str, ...]
    longest: int


@lru_cache(maxsize=64)
def prepare(labels: tuple[str, ...]) -> Names:
    """Labels without regard to case, spaces, dashes, leading noughts and a kit word in front."""
    by_parts: dict[tuple[str, ...], str] = {}
    kinds: dict[str, str] = {}
    for label in labels:
        parts = _parts(label)
        if parts:
            by_parts.setdefault(parts, label)
            kinds.setdefault(label, _kind(parts))
    exact = dict(by_parts)
    for word, label in _by_one_word(exact).items():
        by_parts.setdefault((word,), label)
    for parts, label in exact.items():
        for form in _other_forms(parts):
            by_parts.setdefault(form, label)
    numbers = frozenset(
        form[0] for form in by_parts if len(form) == 1 and form[0] in _all_number_words()
    )
    return Names(
        by_parts,
        _by_number(exact),
        kinds,
        numbers,
        tuple(form[0] for form in exact if len(form) == 1 and len(form[0]) > 3),
        max((len(form) for form in by_parts), default=0),
    )


def _parts(label: str) -> tuple[str, ...]:
    parts = tuple(_PARTS.findall(unicodedata.normalize("NFKC", label).lower()))
    if len(parts) > 1 and parts[0] in WORDS.kit:
        return parts[1:]
    return parts


def _kind(parts: tuple[str, ...]) -> str:
    if len(parts) > 1:
        return "code" if any(part.isdecimal() for part in parts) else "word"
    if parts[0].isdecimal():
        return "number"
    return "letter" if len(parts[0]) == 1 else "word"


def _other_forms(parts: tuple[str, ...]) -> list[tuple[str, ...]]:
    """ "R-1", "R 01", "7" for "07", "seven" for "7"."""
    forms: list[tuple[str, ...]] = []
    if len(parts) > 1:
        forms.append((parts[0], "-", *parts[1:]))
    last = parts[-1]
    if last.isdecimal() and len(last) < 4:
        value = int(last)
        forms.extend(
            (*parts[:-1], spelled) for spelled in (str(value), f"{value:02}", _word(value))
        )
        forms.extend((parts[0], "-", spelled) for spelled in (str(value), f"{value:02}"))
        if len(parts) == 1:
            forms = [form for form in forms if "-" not in form]
            tens, ones = _TENS.get(value // 10 * 10), value % 10
            if tens and ones:
                forms.extend([(tens, _ONES[ones]), (tens, "-", _ONES[ones])])
    return forms


def _by_number(exact: dict[tuple[str, ...], str]) -> dict[str, str]:
    """Codes by their number alone, in figures or as a word, where no other label has it."""
    found: dict[str, list[str]] = {}
    for parts, label in exact.items():
        if len(parts) > 1 and parts[-1].isdecimal():
            for spelled in {str(int(parts[-1])), _word(int(parts[-1]))}:
                found.setdefault(spelled, []).append(label)
    return {number: labels[0] for number, labels in found.items() if len(labels) == 1}


def _by_one_word(exact: dict[tuple[str, ...], str]) -> dict[str, str]:
    """Names of several words by one that no other label has and that means nothing else."""
    found: dict[str, list[str]] = {}
    for parts, label in exact.items():
        if len(parts) > 1 and all(part.isalpha() for part in parts):
            for part in set(parts):
                if len(part) >= _TELLING and part not in WORDS.ordinary:
                    found.setdefault(part, []).append(label)
    return {word: labels[0] for word, labels in found.items() if len(labels) == 1}


def _word(value: int) -> str:
    if value < len(_ONES):
        return _ONES[value]
    return _TENS.get(value, str(value))


@lru_cache(maxsize=1)
def _all_number_words() -> frozenset[str]:
    return frozenset(_ONES) | frozenset(_TENS.values())
