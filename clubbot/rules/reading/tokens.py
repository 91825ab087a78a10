"""A text cut into words, numbers and signs, with everyday spellings and slips put right."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from clubbot.rules.reading.vocabulary import ALIASES, CORRECTABLE, KNOWN

_TOKEN = re.compile(
    r"""
      (?P<iso>\d{4}[-/.]\d{1,2}[-/.]\d{1,2})(?!\d)
    | (?P<date>\d{1,2}(?P<sep>[/.-])\d{1,2}(?P=sep)(?:\d{4}|\d{2}))(?![\d:])
    | (?P<clock>\d{1,2}:\d{2})(?::\d{2})?(?!\d)
    | (?P<hclock>\d{1,2}h\d{2})(?![^\W_])
    | (?P<slash>\d{1,2}/\d{1,2})(?![\d/])
    | (?P<dots>\d{1,2}\.\d{1,2})(?![\d])
    | (?P<num>\d+)
    | (?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)
    | (?P<sym>\S)
    """,
    re.VERBOSE,
)

_AFTER_DIGIT = re.compile(r"(?<=\d)\s?\u00bd")
_TIDY: tuple[tuple[tuple[str, ...], re.Pattern[str], str], ...] = (
    (("->", "=>", "--", "~"), re.compile(r"->|=>|--+|~"), "-"),
    (("`",), re.compile("`"), "'"),
    ((".",), re.compile(r"\b([apAP])\.\s?[mM]\b\.?"), r"\1m"),
    ((".",), re.compile(r"(?<=\d)\.\s?([apAP])[mM]\b"), r"\1m"),
    (("-",), re.compile(r"(\d{4}-\d\d-\d\d)[Tt](\d\d:\d\d)"), r"\1 \2"),
    ((":",), re.compile(r"\b(\d{1,2})(?:\s+:\s*|:\s+)([0-5]\d)\b"), r"\1:\2"),
    ((";",), re.compile(r"\b(\d{1,2});([0-5]\d)\b"), r"\1:\2"),
    ((" 1/2",), re.compile(r"(?<=\d) 1/2\b"), ".5"),
    (("20",), re.compile(r"\b(20\d\d)([01]\d)([0-3]\d)\b"), r"\1-\2-\3"),
    (("not", "that"), re.compile(r"\bif not\b|\bfailing that\b", re.I), "otherwise"),
    (
        ("-",),
        re.compile(r"\b(quarter|half|ten|five|twenty)-(to|past)-", re.I),
        r"\1 \2 ",
    ),
    (
        ("-",),
        re.compile(r"\b(\d{1,2})-([0-5]\d) ?(?:to|-|until|till?) ?(\d{1,2})-([0-5]\d)\b"),
        r"\1:\2 to \3:\4",
    ),
    (
        ("-",),
        re.compile(r"\b(\d{1,2})-([345]\d|2[5-9])(?= ?(?:[ap]m|to\b|until\b|till?\b|-))"),
        r"\1:\2",
    ),
    (
        (",",),
        re.compile(r"(?<!kits )(?<!kit )(?<![,\d])(\d{1,2}),(00|15|30|45)\b(?!,)"),
        r"\1:\2",
    ),
    ((",",), re.compile(r"\b(\d),(\d{1,2})(?=\s?h)"), r"\1.\2"),
    (("2m",), re.compile(r"\b2(?:moro|morrow|mrw|moz)\w*", re.I), "tomorrow"),
    (("2day",), re.compile(r"\b2day\b", re.I), "today"),
    (("2ni",), re.compile(r"\b2(?:nite|night)\b", re.I), "tonight"),
    (("after",), re.compile(r"\bday\s*after\s*tomorr?ow\b", re.I), "overmorrow"),
    (("half",), re.compile(r"\bhalf\s*-?\s*past\b", re.I), "half past"),
    (("clock",), re.compile(r"\b(\d{1,2})\s*[oO]'?\s?clock\b"), r"\1 o'clock"),
    (("clock",), re.compile(r"\b[oO]\s?clock\b"), "o'clock"),
    (("mid",), re.compile(r"\bmid-?\s(day|night)\b", re.I), r"mid\1"),
    (("week",), re.compile(r"\bweek-\s?end\b", re.I), "weekend"),
)
"""What is put right in turn. A pattern is looked for only where one of the words before it stands,
in lower case: a plain text has none of them, and most of its time would go into finding that."""

_FOREIGN_SIGNS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u00ad]"), ""),
    (re.compile(r"[\u2010-\u2015\u2212\u2192]"), "-"),
    (re.compile(r"[\u2018\u2019\u02bc\u00b4]"), "'"),
)


def _tidied(text: str) -> str:
    """Return a text with everyday spellings of dates and times put right."""
    if not text.isascii():
        halves = _AFTER_DIGIT.sub(".5", text).replace("\u00bd", "half")
        text = unicodedata.normalize("NFKC", halves)
        for pattern, instead in _FOREIGN_SIGNS:
            text = pattern.sub(instead, text)
    low = text.lower()
    for words, pattern, instead in _TIDY:
        if any(word in low for word in words):
            text = pattern.sub(instead, text)
            low = text.lower()
    return text


@dataclass(frozen=True, slots=True)
class Token:
    """`text` as typed, `low` as understood; `glued` when no space stands before it."""

    text: str
    low: str
    kind: str
    start: int
    end: int
    glued: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A whole text; asking past either end gives empty words instead of an error."""

    text: str
    tokens: tuple[Token, ...]
    found: frozenset[str]
    """Every word as understood, and every kind of token."""
    lows: Mapping[int, str]
    """The words as understood, by their places."""

    def __len__(self) -> int:
        return len(self.tokens)

    def low(self, at: int) -> str:
        return self.lows.get(at, "")

    def kind(self, at: int) -> str:
        tokens = self.tokens
        return tokens[at].kind if 0 <= at < len(tokens) else ""

    def raw(self, at: int) -> str:
        return self.tokens[at].text if 0 <= at < len(self.tokens) else ""

    def glued(self, at: int) -> bool:
        return 0 <= at < len(self.tokens) and self.tokens[at].glued

    def is_at(self, at: int, *words: str) -> bool:
        """True when these words stand here, one after the other."""
        low = self.lows.get
        return low(at) == words[0] and all(low(at + n) == words[n] for n in range(1, len(words)))

    def has_any(self, words: frozenset[str]) -> bool:
        """True when one of these words, or kinds of token, stands anywhere."""
        return not self.found.isdisjoint(words)

    def said(self, first: int, after: int) -> str:
        """The words as typed, from one token up to another."""
        if first >= after or first >= len(self.tokens):
            return ""
        return self.text[self.tokens[first].start : self.tokens[min(after, len(self)) - 1].end]


def tokenise(text: str, keep: frozenset[str] = frozenset()) -> Line:
    """Cut a text; words in `keep` (lower case) are never put right."""
    tidy = _tidied(text)
    tokens: list[Token] = []
    last_end = -1
    for match in _TOKEN.finditer(tidy):
        kind = match.lastgroup or "sym"
        word = match.group(kind)
        low = word.lower()
        if kind == "word":
            low = _understood(low, keep)
        tokens.append(Token(word, low, kind, match.start(), match.end(), match.start() == last_end))
        last_end = match.end()
    found = {token.low for token in tokens}.union(token.kind for token in tokens)
    lows = {at: token.low for at, token in enumerate(tokens)}
    return Line(tidy, tuple(tokens), frozenset(found), lows)


def _understood(low: str, keep: frozenset[str]) -> str:
    if low in keep:
        return low
    bare = low.removesuffix("'s").rstrip("'")
    if bare in keep:
        return bare
    if low in ALIASES:
        return ALIASES[low]
    if low in KNOWN:
        return low
    if bare in ALIASES or bare in KNOWN:
        return ALIASES.get(bare, bare)
    return _corrected(low)


@lru_cache(maxsize=4096)
def _corrected(low: str) -> str:
    """The one known word a slip or two away, else the word itself."""
    if not 4 <= len(low) <= 12 or not low.isascii():
        return low
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    allowed = 1 if len(low) < 7 else 2
    near = process.extract(low, CORRECTABLE, scorer=OSA.distance, score_cutoff=allowed, limit=2)
    near = [hit for hit in near if hit[0][0] == low[0]]
    if len(low) == 4:
        # A four-letter word with one letter exchanged is mostly another word: same, some.
        near = [h for h in near if len(h[0]) != 4 or sorted(h[0]) == sorted(low)]
    if not near or (len(near) > 1 and near[0][1] == near[1][1]):
        return low
    word = near[0][0]
    return ALIASES.get(word, word)
