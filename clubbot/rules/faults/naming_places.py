"""The places in a message where something is spelled like one of the club's labels."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.faults.names import Names
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_FEWEST_LETTERS_FOR_A_SLIP = 4


@dataclass(frozen=True, slots=True)
class Candidate:
    """Tokens [first, after) that spell a label; `possessive`: "D's", "7s tablet"."""

    label: str
    kind: str
    first: int
    after: int
    possessive: bool
    poorly: bool = True
    """Whether a report of a fault that names it means this kit, too."""


def spelled(line: Line, names: Names) -> list[Candidate]:
    """Every place that a label could be meant at, in the order of the text."""
    found: list[Candidate] = []
    at = 0
    while at < len(line):
        candidate = _candidate(line, names, at)
        if candidate is not None:
            found.append(candidate)
        at = candidate.after if candidate is not None else at + 1
    return found


def _candidate(line: Line, names: Names, at: int) -> Candidate | None:
    for size in range(min(names.longest, len(line) - at), 0, -1):
        words = [line.raw(at + step).lower() for step in range(size)]
        last, possessive = _without_s(line.raw(at + size - 1), size == 1)
        label = names.by_parts.get(tuple(words))
        if label is None and possessive:
            label = names.by_parts.get((*words[:-1], last))
            if label is None and last.endswith(("xe", "se", "che", "she")):
                label = names.by_parts.get((*words[:-1], last[:-1]))
        elif label is not None:
            possessive = False
        if label is None or not _free_standing(line, at, at + size, size > 1):
            continue
        kind = names.kinds[label] if size == 1 else "code"
        if size == 1 and (line.kind(at) == "num" or words[0] in names.number_words):
            kind = "number"
        after = _after_apostrophe(line, at + size, size > 1)
        return Candidate(label, kind, at, after, possessive or after > at + size)
    return (
        _number_after_kit_word(line, names, at)
        or _letter_on_kit_word(line, names, at)
        or _slip(line, names, at)
    )


def _without_s(raw: str, alone: bool) -> tuple[str, bool]:
    """A word without its possessive ending, typed or not: "D's", "Hs", "rustys"."""
    low = raw.lower()
    if low.endswith(("'s", "s'")):
        return low[:-2] if low.endswith("'s") else low[:-1], True
    if low.endswith("s") and (len(low) > 3 or (len(low) == 2 and alone and raw[0].isupper())):
        return low[:-1], low not in {"as", "is", "us", "ones"}
    return low, False


def _after_apostrophe(line: Line, at: int, code: bool) -> int:
    """The token after "3's", "3s tablet" or "R3s", which is cut into several."""
    if line.raw(at) == "'" and line.low(at + 1) == "s" and line.glued(at + 1):
        return at + 2
    glued_s = line.low(at) == "s" and line.glued(at) and line.kind(at - 1) == "num"
    return at + 1 if glued_s and (code or line.low(at + 1) in WORDS.equipment) else at


def _free_standing(line: Line, at: int, after: int, code: bool) -> bool:
    """False where a label is a piece of something longer, such as 5p, 2A or D-day."""
    alnum = {"num", "word"}
    if line.glued(at) and line.kind(at - 1) in alnum and line.low(at - 1) not in WORDS.kit:
        return False
    if line.glued(at) and line.low(at - 1) == "-" and line.glued(at - 1):
        left = line.low(at - 2)
        return left in WORDS.kit or len(left) < 3
    apostrophe = _after_apostrophe(line, after, code)
    if apostrophe > after:
        return True
    return not (line.glued(after) and line.kind(after) in alnum)


def _number_after_kit_word(line: Line, names: Names, at: int) -> Candidate | None:
    """ "robot 3", "kit four's" where the club says R3 and R4."""
    spelled, possessive = _without_s(line.raw(at), False)
    if line.kind(at) == "num":
        spelled, possessive = line.low(at).lstrip("0") or "0", False
    label = names.by_number.get(spelled)
    if label is None or line.low(at - 1) not in WORDS.kit:
        return None
    if line.low(at + 1) in WORDS.measure:
        return None
    after = _after_apostrophe(line, at + 1, True)
    return Candidate(label, "code", at, after, possessive or after > at + 1)


def _letter_on_kit_word(line: Line, names: Names, at: int) -> Candidate | None:
    """ "kitD", "unitD"."""
    raw = line.raw(at)
    label = names.by_parts.get((raw[-1:].lower(),))
    if label is None or not raw[-1:].isupper() or raw[:-1].lower() not in WORDS.kit_one:
        return None
    return Candidate(label, "code", at, at + 1, False)


def _slip(line: Line, names: Names, at: int) -> Candidate | None:
    """The one label a slip or two away, for words long enough to tell."""
    low, _ = _without_s(line.raw(at), False)
    if line.kind(at) != "word" or len(low) < _FEWEST_LETTERS_FOR_A_SLIP or not names.long_words:
        return None
    if low in WORDS.ordinary or line.low(at) in WORDS.ordinary:
        return None
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    allowed = 1 if len(low) < 7 else 2
    near = process.extract(
        low, names.long_words, scorer=OSA.distance, score_cutoff=allowed, limit=2
    )
    near = [hit for hit in near if hit[0][0] == low[0] or line.raw(at)[0].isupper()]
    if len(near) != 1:
        return None
    return Candidate(names.by_parts[(near[0][0],)], "word", at, at + 1, False)
