"""A club's labels, made ready for looking up in what people type."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from clubbot.rules.reading.tokens import Line, tokenise
from clubbot.rules.reading.vocabulary import KIT

_FEWEST_LETTERS_FOR_A_SLIP = 4
_PARTS = re.compile(r"\d+|[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Labels:
    """The labels as spelled, and every way of typing them as lower-case words."""

    spelled: tuple[str, ...]
    by_words: Mapping[tuple[str, ...], str]
    longest: int
    prefixes: frozenset[str]
    lettered: bool
    wordy: bool
    digits: bool
    protected: frozenset[str]
    """The words that are never put right, because a label is spelled that way."""


def prepare(labels: Sequence[str]) -> Labels:
    """Labels looked up without regard to case, spaces, dashes, leading zeros or a kit word."""
    return _prepared(tuple(labels))


@functools.lru_cache(maxsize=32)
def _prepared(labels: tuple[str, ...]) -> Labels:
    by_words: dict[tuple[str, ...], str] = {}
    for label in labels:
        words = tuple(_plain(token.text) for token in tokenise(label).tokens)
        if words:
            by_words.setdefault(words, label)
    for words, label in list(by_words.items()):
        for other in _other_ways(words):
            by_words.setdefault(other, label)
    spelled = tuple(dict.fromkeys(by_words.values()))
    return Labels(
        spelled,
        by_words,
        max((len(words) for words in by_words), default=0),
        frozenset(words[0] for words in by_words if len(words) > 1 and words[-1].isdigit()),
        any(len(label) == 1 and label.isalpha() for label in spelled),
        any(len(label) > 2 and label.isalpha() for label in spelled),
        any(label.isdigit() for label in spelled),
        frozenset(word for words in by_words for word in words if len(word) > 2),
    )


def _other_ways(words: tuple[str, ...]) -> list[tuple[str, ...]]:
    ways: list[tuple[str, ...]] = []
    if len(words) > 1 and words[0] in KIT:
        ways.append(words[1:])
    plain = tuple(part for word in words for part in _PARTS.findall(word))
    if len(plain) == 2 and plain[0].isalpha() and plain[1].isdigit():
        ways += [plain, (plain[0], "-", plain[1]), (plain[0], _plain(plain[1]))]
    return ways


def find(line: Line, at: int, labels: Labels, spaced: bool) -> tuple[str, int, int] | None:
    """The longest label typed here: its spelling, the token after it, how many words it took.

    Parts of one label (R2) stand without a space between them unless `spaced`.
    """
    for size in range(min(labels.longest, len(line) - at), 0, -1):
        words = tuple(_plain(line.raw(at + step)) for step in range(size))
        label = labels.by_words.get(words)
        if label is None:
            label = labels.by_words.get((*words[:-1], words[-1].removesuffix("'s")))
        if label is None or not _free_standing(line, at, at + size):
            continue
        together = all(line.glued(at + k) or len(words[k]) > 1 for k in range(1, size))
        capital = line.raw(at).isupper() and line.low(at + size) not in {"-", "to", "am", "pm", ":"}
        if together or spaced or capital:
            return label, at + size, size
    return None


def _plain(word: str) -> str:
    return str(int(word)) if word.isascii() and word.isdigit() and len(word) < 10 else word.lower()


def _free_standing(line: Line, at: int, after: int) -> bool:
    """True unless the label would be a piece of a longer word such as 5p, 2A or D7."""
    before = line.glued(at) and line.kind(at - 1) in {"num", "word"} and line.low(at - 1) not in KIT
    behind = line.glued(after) and line.kind(after) in {"num", "word"}
    return not before and not (behind and line.low(after) not in KIT)


def slip(word: str, labels: Labels) -> str | None:
    """The one label a slip or two away from a word, for labels long enough to tell."""
    if len(word) < _FEWEST_LETTERS_FOR_A_SLIP:
        return None
    from rapidfuzz.distance import OSA

    near = [
        label
        for label in labels.spelled
        if len(label) >= _FEWEST_LETTERS_FOR_A_SLIP
        and OSA.distance(word, label.lower()) <= (1 if len(label) < 7 else 2)
    ]
    return near[0] if len(near) == 1 else None


def natural(label: str) -> list[tuple[int, int, str]]:
    """A sorting key that puts R2 before R10."""
    return [
        (0, int(part), "") if part.isascii() and part.isdigit() else (1, 0, part.lower())
        for part in re.findall(r"[0-9]{1,9}|[^0-9]+", label)
    ]
