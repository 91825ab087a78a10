"""One kit's tablet with another kit's unit, as people say it."""

from __future__ import annotations

import re
from typing import NamedTuple

_LABEL = r"[^\s,;.'\u2019]{1,16}"
_WITH = r"(?:with|and|plus|\+|has|had|got|took)"
_PATTERNS = (
    # "D with tablet F", "unit D and the tablet of F", "D has the tablet from F"
    rf"(?:\bunit\s+)?(?<!\S)(?P<unit>{_LABEL})\s+{_WITH}\s+(?:the\s+)?tablet\s+"
    rf"(?:of\s+|from\s+)?(?:kit\s+)?(?P<tablet>{_LABEL})",
    # "D with F's tablet"
    rf"(?:\bunit\s+)?(?<!\S)(?P<unit>{_LABEL})\s+{_WITH}\s+"
    rf"(?P<tablet>{_LABEL})['\u2019]s\s+tablet\b",
    # "tablet F with unit D"
    rf"\b(?:the\s+)?tablet\s+(?P<tablet>{_LABEL})\s+{_WITH}\s+(?:the\s+)?unit\s+(?P<unit>{_LABEL})",
)
_MIXES = tuple(re.compile(pattern, re.IGNORECASE) for pattern in _PATTERNS)


class Mixed(NamedTuple):
    """The labels of a unit's kit and of the tablet that is with it, as they were typed."""

    unit: str
    tablet: str


def read_mixes(text: str) -> tuple[str, tuple[Mixed, ...]]:
    """Return a text without what it says of tablets, the units' labels left in, and the mixes."""
    found: list[Mixed] = []
    for pattern in _MIXES:
        while (match := pattern.search(text)) is not None:
            found.append(Mixed(match["unit"], match["tablet"]))
            text = f"{text[: match.start()]}{match['unit']}{text[match.end() :]}"
    return text, tuple(each for each in found if each.unit.casefold() != each.tablet.casefold())


def only_a_mix(text: str) -> bool:
    """Say whether a text tells of a mix and of nothing else."""
    return any(pattern.fullmatch(text.strip().rstrip(".!")) for pattern in _MIXES)
