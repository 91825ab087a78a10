"""A message cut into words, numbers, signs and small pictures, ready to be read."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

LONGEST_TEXT = 4096

_TOKEN = re.compile(
    r"""
      (?P<num>\d+(?:[.,:]\d+)*)
    | (?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)
    | (?P<sym>\S)
    """,
    re.VERBOSE,
)
_TIDY = (
    (re.compile(r"[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufe00-\ufe0f\ufeff\u00ad]"), ""),
    (re.compile(r"[\u2010-\u2015\u2212\u2192]|->|=>"), "-"),
    (re.compile(r"[\u2018\u2019\u02bc`\u00b4]"), "'"),
    (re.compile(r"([^\w\s])\1{3,}"), r"\1\1\1"),
    (re.compile(r"\[(?:photo|picture|pic|image|video|sticker|gif|voice)\]", re.IGNORECASE), " "),
    (re.compile(r"https?://\S+|@\w+"), " "),
)


@dataclass(frozen=True, slots=True)
class Token:
    """`raw` as typed, `low` in small letters without apostrophes; `glued` to the one before."""

    raw: str
    low: str
    kind: str
    glued: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A message; asking past either end gives empty words instead of an error."""

    tokens: tuple[Token, ...]
    shouted: bool

    def __len__(self) -> int:
        return len(self.tokens)

    def low(self, at: int) -> str:
        return self.tokens[at].low if 0 <= at < len(self.tokens) else ""

    def raw(self, at: int) -> str:
        return self.tokens[at].raw if 0 <= at < len(self.tokens) else ""

    def kind(self, at: int) -> str:
        return self.tokens[at].kind if 0 <= at < len(self.tokens) else ""

    def glued(self, at: int) -> bool:
        return 0 <= at < len(self.tokens) and self.tokens[at].glued


def tokenise(text: str) -> Line:
    """Cut a message; what is beyond 4096 characters, a message's limit, is left out."""
    tidy = unicodedata.normalize("NFKC", text[:LONGEST_TEXT])[:LONGEST_TEXT]
    for pattern, instead in _TIDY:
        tidy = pattern.sub(instead, tidy)
    tokens: list[Token] = []
    last_end = -1
    for found in _TOKEN.finditer(tidy):
        raw = found.group()
        low = raw.lower().replace("'", "")
        tokens.append(Token(raw, low, found.lastgroup or "sym", found.start() == last_end))
        last_end = found.end()
    letters = [letter for letter in tidy if letter.isalpha()]
    shouted = len(letters) > 3 and sum(letter.isupper() for letter in letters) > 0.8 * len(letters)
    return Line(tuple(tokens), shouted)
