"""A letter to the supplier as it is set on paper."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ClaimPaper:
    """Paragraphs, then tables of facts, each with its title and a row of heads, then stills."""

    number: int
    heading: str
    before: tuple[str, ...]
    tables: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    after: tuple[str, ...]
    stills: str
