"""What the desk answers about a club's own words on checks and causes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OwnWord:
    """Words of the club on a check or a cause, by its code."""

    id: int
    code: str
    text: str


@dataclass(frozen=True, slots=True)
class OwnWords:
    """All that the club has added."""

    words: tuple[OwnWord, ...]


@dataclass(frozen=True, slots=True)
class OwnWordsWanted:
    """The next text is taken for words on this check."""

    code: str


@dataclass(frozen=True, slots=True)
class OwnWordsAdded:
    code: str
    text: str
