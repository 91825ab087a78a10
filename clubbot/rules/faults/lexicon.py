"""The notions of lexicon.toml, made ready for looking up."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clubbot.rules.faults.naming_words import WORDS

_VOWELS = frozenset("aeiouy")
_SHORTEST_STEM = 3
_WORD = re.compile(r"[a-z]{4,}")


@dataclass(frozen=True, slots=True)
class Lexicon:
    """`notions` by stem, `phrases` by the stem that they begin with.

    `known` words are never put right, nor those with one of the `roots`.
    """

    aliases: dict[str, str]
    pictures: dict[str, tuple[str, ...]]
    notions: dict[str, tuple[str, ...]]
    phrases: dict[str, tuple[tuple[tuple[str, ...], str], ...]]
    known: frozenset[str]
    roots: frozenset[str]
    correctable: tuple[str, ...]
    things: frozenset[str]
    small: frozenset[str]


def stem(word: str) -> str:
    """A word without its usual English endings, the same for each of its forms."""
    if len(word) <= _SHORTEST_STEM or word.endswith("-picture"):
        return word
    for ending, instead in (("ies", "y"), ("ing", ""), ("ed", ""), ("es", "e"), ("s", "")):
        rest = word[: -len(ending)] + instead
        if not word.endswith(ending) or word.endswith(("ss", "us", "is")):
            continue
        if len(rest) < _SHORTEST_STEM or not _VOWELS & set(rest):
            continue
        word = rest
        break
    if len(word) > _SHORTEST_STEM and word[-1] == word[-2] and word[-1] not in "aeiouls":
        word = word[:-1]
    return word.removesuffix("e") if len(word) > _SHORTEST_STEM else word


def _phrases(text: str) -> list[tuple[str, ...]]:
    return [
        tuple(part if part == "_" else stem(part.replace("'", "")) for part in phrase.split())
        for phrase in text.replace("\n", " ").split(",")
        if phrase.strip()
    ]


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The one lexicon, read on first use."""
    package = files("clubbot.rules.faults")
    data = tomllib.loads(package.joinpath("lexicon.toml").read_text(encoding="utf-8"))
    notions: dict[str, list[str]] = {}
    phrases: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    surface: set[str] = set(data["aliases"].values())
    for notion, text in data["notions"].items():
        surface.update(text.replace("\n", " ").replace(",", " ").replace("'", "").split())
        for words in _phrases(text):
            if len(words) == 1:
                notions.setdefault(words[0], []).append(notion)
            else:
                phrases.setdefault(words[0], []).append((words, notion))
    surface -= {"_", "%", "n't"}
    signs = package.joinpath("danger.toml").read_text(encoding="utf-8")
    own = frozenset(surface) | frozenset(_WORD.findall(signs))
    return Lexicon(
        data["aliases"],
        {sign: tuple(words.split()) for sign, words in data["pictures"].items()},
        {word: tuple(dict.fromkeys(found)) for word, found in notions.items()},
        {first: tuple(found) for first, found in phrases.items()},
        own | WORDS.ordinary,
        frozenset(map(stem, own)),
        tuple(sorted(word for word in surface if len(word) > 3 and word.isalpha())),
        frozenset(data["lists"]["things"].split()),
        frozenset(data["lists"]["small"].split()),
    )
