"""What people type of a battery or a tablet: a level, that it ran flat, still runs, is charged."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from clubbot.rules.ledger import Detail, EntryKind

MOST_MINUTES = 600
_NUMBERS = {"no": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_NUMBER = rf"(\d{{1,3}}|{'|'.join(_NUMBERS)})"
_USUAL_BARS = 4
_START = r"(?:at|on|from)\s+(?:the\s+)?(?:start|beginning)"
_TABLET = re.compile(r"(?:'s|\u2019s)?\s*\btablets?\b(?:\s+of\b)?", re.I)
_PATTERNS = (
    ("start", re.compile(rf"\b(?:(?:was|found)\s+)*(?:flat|empty|dead)\s+{_START}\b", re.I)),
    ("start", re.compile(r"\b(?:was\s+)?found\s+(?:flat|empty|dead)\b", re.I)),
    ("test", re.compile(r"\btest(?:ed)?\s*:?\s+(\d{1,3})(?:\s*min(?:ute)?s?)?\b", re.I)),
    (
        "flat",
        re.compile(
            r"\b(?:(?:ran|run|went|is|was|got)\s+)?(?:flat|empty|dead)\b"
            r"(?:\s+after\s+(\d{1,3})(?:\s*min(?:ute)?s?)?\b)?",
            re.I,
        ),
    ),
    ("charged", re.compile(r"\b(?:(?:is|was)\s+)?(?:fully\s+)?charged\b", re.I)),
    (
        "running",
        re.compile(
            r"(?:\b(?:is\s+)?still\s+(?:running|runs|going|on)\b|\brunning\b)"
            r"(?:\s+after\s+\d{1,3}(?:\s*min(?:ute)?s?)?\b)?",
            re.I,
        ),
    ),
    (
        "bars",
        re.compile(rf"\b{_NUMBER}(?:\s*(?:of|/|out\s+of)\s*{_NUMBER})?\s+bars?\b", re.I),
    ),
    ("level", re.compile(r"(?<!\d)(\d{1,3})\s*(?:%|percent\b)", re.I)),
)


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of a battery, and what is left of the text: which battery it is."""

    kind: EntryKind
    detail: Detail
    rest: str


def read(text: str) -> Said | None:
    """Return what a text says of a battery; None where it says nothing that can be."""
    for what, pattern in _PATTERNS:
        if found := pattern.search(text):
            made = _made(what, found)
            rest = f"{text[: found.start()]} {text[found.end() :]}"
            own = bool(_TABLET.search(rest))
            rest = " ".join(_TABLET.sub(" ", rest).split())
            return Said(made[0], replace(made[1], own=own), rest) if made is not None else None
    return None


def of_tablet(text: str) -> tuple[bool, str]:
    """Return whether a question is about a kit's tablet, and the text without that word."""
    return bool(_TABLET.search(text)), " ".join(_TABLET.sub(" ", text).split())


def _made(what: str, found: re.Match[str]) -> tuple[EntryKind, Detail] | None:
    match what:
        case "start":
            return EntryKind.FOUND_FLAT, Detail()
        case "charged":
            return EntryKind.CHARGED, Detail()
        case "running":
            return EntryKind.STILL_RUNNING, Detail()
        case "flat":
            minutes = int(found[1]) if found[1] else None
            if minutes is not None and not 0 < minutes <= MOST_MINUTES:
                return None
            return EntryKind.RAN_FLAT, Detail(minutes=minutes)
        case "test":
            minutes = int(found[1])
            fits = 0 < minutes <= MOST_MINUTES
            return (EntryKind.RUN_TIME_TESTED, Detail(minutes=minutes)) if fits else None
        case "bars":
            shown, most = _count(found[1]), _count(found[2]) if found[2] else _USUAL_BARS
            if not 0 <= shown <= most or not most:
                return None
            return EntryKind.LEVEL_SEEN, Detail(percent=round(100 * shown / most), rough=True)
        case _:
            percent = int(found[1])
            return (EntryKind.LEVEL_SEEN, Detail(percent=percent)) if percent <= 100 else None


def _count(word: str) -> int:
    return int(word) if word.isdecimal() else _NUMBERS[word.lower()]
