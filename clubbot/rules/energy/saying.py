"""What people type of a battery or a tablet: a level, that it ran flat, still runs, is charged."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from clubbot.rules.ledger import Detail, EntryKind

MOST_MINUTES = 600
_NUMBERS = {"no": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_NUMBER = rf"(\d{{1,3}}|{'|'.join(_NUMBERS)})"
_USUAL_BARS = 4
_START = r"(?:at|on|from)\s+(?:the\s+)?(?:start|beginning)"
_TABLET = re.compile(r"(?:'s|\u2019s)?\s*\btablets?\b(?:\s+of\b)?", re.I)
_HOURS = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "half an": 0.5}
_LASTING = (
    r"(?:(?:about|around|only|just)\s+)?(?:"
    r"(?P<hours>\d{1,2}(?:[.,]\d)?|half\s+an|an?|one|two|three)\s*h(?:(?:ou)?rs?)?\b"
    r"(?:\s*(?:and\s+)?(?P<more>\d{1,2})(?:\s*m(?:in(?:ute)?s?)?)?\b|(?P<half>\s+and\s+a\s+half)\b)?"
    r"|(?P<minutes>\d{1,4})(?:\s*m(?:in(?:ute)?s?)?\b)?"
    r"(?![\d:.,]*\d)(?!\s*(?:%|s\b|sec|day|week|month|match|run|time|bars?\b)))"
)
"""Some minutes or hours; "after 2 days" is none."""
_AFTER = rf"(?:\s+(?:after|in|within)\s+{_LASTING})?"
_LEVEL = r"(?<![\d.,])(?:(?<=\s)[-\u2212])?(?<![\d.,])(\d{1,4})(?:[.,]\d+)?\s*(?:%|per\s?cent\b)"
_FULLNESS = {
    "almost full": 90,
    "nearly full": 90,
    "more than half full": 70,
    "more than half": 70,
    "less than half full": 30,
    "less than half": 30,
    "half full": 50,
    "half": 50,
    "full": 100,
    "almost empty": 10,
    "nearly empty": 10,
    "low": 15,
}
"""Per cent that are meant by words; common practice, no source."""
_WORD = rf"({'|'.join(word.replace(' ', chr(92) + 's+') for word in _FULLNESS)})"
_TO = rf"(?:(?:only\s+)?(?:up\s+)?to\s+)?(?:about\s+)?(?:{_LEVEL}|(half|full)\b)"
_PATTERNS = (
    ("start", re.compile(rf"\b(?:(?:was|found)\s+)*(?:flat|empty|dead)\s+{_START}\b", re.I)),
    ("start", re.compile(r"\b(?:was\s+)?found\s+(?:flat|empty|dead)\b", re.I)),
    ("test", re.compile(rf"\btest(?:ed)?\s*:?\s+{_LASTING}", re.I)),
    ("word", re.compile(r"\b((?:almost|nearly)\s+empty)\b", re.I)),
    (
        "flat",
        re.compile(
            rf"\b(?:(?:ran|run|went|is|was|got)\s+)?(?:flat|empty|dead)\b{_AFTER}",
            re.I,
        ),
    ),
    ("level", re.compile(rf"{_LEVEL}\s+(?:charged|full)\b", re.I)),
    ("level", re.compile(r"\b(half)[\s-]charged\b", re.I)),
    (
        "charged",
        re.compile(rf"\b(?:(?:is|was|are|were)\s+)?(?:fully\s+)?charged\b(?:\s+{_TO})?", re.I),
    ),
    (
        "running",
        re.compile(
            r"(?:\b(?:has\s+)?(?:ran|run|been\s+running)\s+(?:for\s+)?\d{1,3}\s*min(?:ute)?s?"
            r"(?:\s*,)?(?:\s+and)?\s+)?"
            r"(?:\b(?:is\s+)?still\s+(?:running|runs|going|on)\b|\brunning\b(?!\s+(?:low|out|down)\b))"
            rf"{_AFTER}",
            re.I,
        ),
    ),
    (
        "bars",
        re.compile(rf"\b{_NUMBER}(?:\s*(?:of|/|out\s+of)\s*{_NUMBER})?\s+bars?\b", re.I),
    ),
    ("level", re.compile(_LEVEL, re.I)),
    ("word", re.compile(rf"\b{_WORD}\b", re.I)),
)
_NOT = re.compile(
    r"(?:\b(?:not|never|cannot|no\s+longer|stop(?:s|ped)?|needs?|must|should|will|might|if|when|"
    r"until|till|before|unless)|n['\u2019]t)\b(?:\s+\w+){0,2}\s*$"
    r"|\b(?:be|get|almost|nearly|half|part(?:ly|ially)?|than)[\s-]*$",
    re.I,
)
"""What stands before words that say the contrary, or what isn't so yet."""
_ASKS = re.compile(
    r"\s*(?:(?:how|why|what|when|is|are|was|were|did|does|do|can|could|should)\b.*|.*\?\s*)",
    re.I | re.S,
)
_ABOUT_CHARGE = re.compile(
    r"\b(?:full|empty|flat|low|charg(?:e|ed|ing)|batter(?:y|ies)|bars?|per\s?cent|level|last|lasts|"
    r"left|running|run)\b|%",
    re.I,
)
_WONT_WAKE = re.compile(
    r"\b(?:won['\u2019]?t|does(?:n['\u2019]?t|\s+not)|will\s+not|can(?:not|['\u2019]?t))\s+"
    r"(?:wake|turn\s+on|switch\s+on|come\s+on|start)\b",
    re.I,
)
_BESIDE = re.compile(
    r"\b(?:kits?|units?|robots?|numbers?|batter(?:y|ies)|charge|the|its?|and|is|are|was|were|"
    r"has|have|shows?|showing|says|reads|displays|now|only|just|about|already|still|left|at|on|of|"
    r"been|all|both|fully|again|today|please)\b|['\u2019]s\b",
    re.I,
)
"""Words beside a label and a level that change nothing."""
_ASKING = re.compile(
    r"\b(?:how|what|much|many|long|full|empty|flat|low|will|do|does|did|can|could|should|may|i|we|"
    r"you|need|needs|a|to|for|in|from|charged|charging|per\s?cent|bars?|level|lasts?|running|runs?|"
    r"it|there|enough)\b|%",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of a battery, and what is left of the text: which battery it is.

    `faint`: a word or a number alone, which tells of a battery only where one is spoken of.
    """

    kind: EntryKind
    detail: Detail
    rest: str
    faint: bool = False


def read(text: str) -> Said | None:
    """Return what a text says of a battery; None where it says nothing that can be, or asks."""
    if asks(text) or _WONT_WAKE.search(text):
        return None
    for what, pattern in _PATTERNS:
        if found := pattern.search(text):
            made = None if _NOT.search(text[: found.start()]) else _made(what, found)
            if made is None:
                return None
            rest = f"{text[: found.start()]} {text[found.end() :]}"
            own, rest = of_tablet(rest)
            return Said(made[0], replace(made[1], own=own), rest, faint=what == "word")
    return None


def asks(text: str) -> bool:
    """Say whether a text asks rather than tells; nothing is noted from one that asks."""
    return _ASKS.fullmatch(text) is not None


def doubts(text: str) -> bool:
    """Say whether a text asks, or says that something isn't so."""
    return re.search(r"\b(?:not|never)\b|n['\u2019]t\b|\?", text, re.I) is not None


def asks_only_of_charge(text: str, labels: Iterable[str]) -> bool:
    """Say whether a text asks how full kits are, or whether to charge them, and nothing else."""
    about = asks(text) and _ABOUT_CHARGE.search(text) is not None
    return about and not beside(of_tablet(text)[1], labels, asked=True)


def why_unread(text: str) -> str:
    """Return what keeps a text from being noted of a battery: a number that can't be, or words."""
    if _WONT_WAKE.search(text):
        return "won't wake"
    for what, pattern in _PATTERNS:
        found = pattern.search(text)
        if found and not _NOT.search(text[: found.start()]) and _made(what, found) is None:
            return {"charged": "level", "flat": "minutes", "test": "minutes"}.get(what, what)
    return "battery"


def beside(text: str, labels: Iterable[str], *, asked: bool = False) -> str:
    """Return what a text says beside labels of kits and the words that change nothing."""
    for label in sorted(labels, key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(label)}(?!\w)", " ", text, flags=re.I)
    left = _BESIDE.sub(" ", text)
    return " ".join((_ASKING.sub(" ", left) if asked else left).strip(" ,.!?;:&+").split())


def bare_level(text: str) -> Said | None:
    """Return the level that a number alone tells at the end of a text, such as "D 50"."""
    found = re.search(r"(?<=\S)\s+(\d{1,3})\s*$", text)
    if found is None or int(found[1]) > 100:
        return None
    own, rest = of_tablet(text[: found.start()])
    detail = Detail(percent=int(found[1]), own=own)
    return Said(EntryKind.LEVEL_SEEN, detail, rest, faint=True)


def charged_to(text: str) -> tuple[int | None, str] | None:
    """Return to how many per cent something was charged (None: full), and the text without it.

    None alone: to a level that can't be.
    """
    found = re.search(_TO, text, re.I)
    if found is None:
        return None, text
    made = _charged(found)
    rest = f"{text[: found.start()]} {text[found.end() :]}"
    return None if made is None else (made[1].percent, " ".join(rest.split()))


def of_tablet(text: str) -> tuple[bool, str]:
    """Return whether a question is about a kit's tablet, and the text without that word."""
    return bool(_TABLET.search(text)), " ".join(_TABLET.sub(" ", text).split())


def units_and_tablets(text: str) -> tuple[str, str]:
    """Part the words for units from those for tablets: "D and F's tablet", "tablets D and F"."""
    if re.search(r"\btablets\b", text, re.I):
        return "", of_tablet(text)[1]
    pieces = re.split(r"\s*(?:[,;&+]|\band\b)\s*", text)
    units = [piece for piece in pieces if not of_tablet(piece)[0]]
    tablets = [of_tablet(piece)[1] for piece in pieces if of_tablet(piece)[0]]
    if not tablets:
        return text, ""
    its = [" ".join(units) if each.casefold() in ("its", "the", "") else each for each in tablets]
    return ", ".join(units), ", ".join(its)


def _made(what: str, found: re.Match[str]) -> tuple[EntryKind, Detail] | None:
    match what:
        case "start":
            return EntryKind.FOUND_FLAT, Detail()
        case "charged":
            return _charged(found)
        case "running":
            return EntryKind.STILL_RUNNING, Detail()
        case "flat" | "test":
            minutes = _minutes(found)
            if minutes is not None and not 0 < minutes <= MOST_MINUTES:
                return None
            kind = EntryKind.RAN_FLAT if what == "flat" else EntryKind.RUN_TIME_TESTED
            return kind, Detail(minutes=minutes)
        case "bars":
            shown, most = _count(found[1]), _count(found[2]) if found[2] else _USUAL_BARS
            if not 0 <= shown <= most or not most:
                return None
            return EntryKind.LEVEL_SEEN, Detail(percent=round(100 * shown / most), rough=True)
        case _ if not found[1].isdecimal():
            word = " ".join(found[1].lower().split())
            return EntryKind.LEVEL_SEEN, Detail(percent=_FULLNESS[word], rough=True)
        case _:
            percent = _percent(found)
            return None if percent is None else (EntryKind.LEVEL_SEEN, Detail(percent=percent))


def _charged(found: re.Match[str]) -> tuple[EntryKind, Detail] | None:
    """Return a charge: to the level that is said, or else to full."""
    if found[1] is None:
        half = (found[2] or "").lower() == "half"
        return EntryKind.CHARGED, Detail(percent=50 if half else None)
    percent = _percent(found)
    if not percent:
        return None
    return EntryKind.CHARGED, Detail(percent=percent if percent < 100 else None)


def _percent(found: re.Match[str]) -> int | None:
    """Return the level that was found, if one can be so; "-20 %" can't."""
    below = found.string[: found.start(1)].endswith(("-", "\u2212"))
    return int(found[1]) if int(found[1]) <= 100 and not below else None


def _minutes(found: re.Match[str]) -> int | None:
    hours, minutes = found["hours"], found["minutes"]
    if hours is None:
        return int(minutes) if minutes else None
    word = " ".join(hours.lower().split())
    many = _HOURS[word] if word in _HOURS else float(word.replace(",", "."))
    return round(60 * (many + (0.5 if found["half"] else 0))) + int(found["more"] or 0)


def _count(word: str) -> int:
    return int(word) if word.isdecimal() else _NUMBERS[word.lower()]
