"""Whether a number is a kit's label or counts, measures or dates something."""

from __future__ import annotations

from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_STOPS = frozenset({"", ".", "!", "?", ",", ";", ":", ")", "("})
_LABEL_SIGNS = frozenset({":", "=", "-"})
_REACH = 3
_GOING = frozenset(
    [
        "you",
        "back",
        "start",
        "starts",
        "there",
        "be",
        "call",
        "home",
        "leave",
        "ready",
        "finish",
        "done",
        "meet",
    ]
)
_COUNTED_VERBS = frozenset(["has", "have", "had", "got", "for", "to"])
_AFTER_VERB = frozenset(
    [
        "the",
        "a",
        "an",
        "our",
        "its",
        "in",
        "on",
        "off",
        "into",
        "around",
        "itself",
        "and",
        "very",
        "really",
        "too",
        "slow",
        "slowly",
        "fast",
        "only",
        "not",
        "away",
        "backwards",
        "over",
        "round",
        "by",
        "itself",
        "after",
        "when",
    ]
)
_NUMBER_WORDS = frozenset(
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
)
_SENDING = frozenset(
    [
        "sent",
        "send",
        "sending",
        "upload",
        "uploaded",
        "download",
        "downloaded",
        "transfer",
        "transferred",
        "connect",
        "connected",
        "connecting",
        "pair",
        "paired",
        "link",
        "linked",
        "happened",
    ]
)
_ONE = frozenset({"1", "one", "01"})


def number_is_label(line: Line, at: int, left: int, right: int, possessive: bool) -> bool:
    """True when the number at `at`, in a list over [left, right), is meant as a label."""
    before, after = line.low(left - 1), line.low(right)
    if before in WORDS.not_before or right - left == len(line):
        return False
    if possessive:
        return True
    if before in WORDS.not_before_number and not _sent(line, left):
        return False
    if line.low(at) == "one" and before in WORDS.not_before_one:
        return False
    if after in {"%", "x", "/", "+", "*"} or (after == "-" and line.glued(right)):
        return False
    if line.low(at) in _ONE and right - left == 1 and (after in WORDS.equipment or after == "of"):
        return False
    repeated = line.low(right + 1) == "times" and before in WORDS.object_lead
    if repeated and (before != "to" or _sent(line, left)):
        return True
    if _counts(line, right) or (_fraction(line, left) and not _sent(line, left)):
        return False
    return _subject(line, left, right) or _object(line, left, right)


def _counts(line: Line, right: int) -> bool:
    """True when a thing in the plural or a measure follows: "2 short beams", "10 percent"."""
    for step in range(_REACH):
        low = line.low(right + step)
        if step == 0 and low in WORDS.finite and line.low(right + 1) in _AFTER_VERB:
            return False
        verb = low in WORDS.finite or low.endswith("ed")
        if verb and not (step == 0 and low in WORDS.measure and low != "turns"):
            return False
        if low in WORDS.measure and low not in {"-", "to"}:
            return not (low == "s" and step > 0)
        if line.kind(right + step) != "word":
            return False
    return False


def _fraction(line: Line, left: int) -> bool:
    """ "1 wheel of 2", "3 to 2"."""
    if line.low(left - 1) not in {"of", "to", "from", "out", "and"}:
        return False
    near = [line.kind(left - step) for step in (2, 3)]
    return "num" in near and line.low(left - 1) in {"of", "to", "out"}


def _subject(line: Line, left: int, right: int) -> bool:
    before, after = line.low(left - 1), line.low(right)
    leads = left == 0 or before in WORDS.lead
    if not leads:
        return False
    told = after in WORDS.finite or after in WORDS.state or after.endswith("ed")
    if told or (after in _LABEL_SIGNS and line.low(right + 1) != ""):
        return before not in {"at", "before", "after", "under"}
    if after in WORDS.equipment or after.endswith("ing"):
        return True
    number = line.kind(right) == "num" or after in _NUMBER_WORDS
    return number and (line.low(right + 1) in WORDS.equipment | WORDS.measure)


def _sent(line: Line, left: int) -> bool:
    """ "sent the program to 4", not "3 to 2"."""
    said = {line.low(at) for at in range(max(0, left - 8), left)}
    return line.low(left - 1) == "to" and bool(said & _SENDING)


def _object(line: Line, left: int, right: int) -> bool:
    before, after = line.low(left - 1), line.low(right)
    if before not in WORDS.object_lead or (before in _COUNTED_VERBS and not _sent(line, left)):
        return False
    if before == "in" and line.low(left - 2) in _GOING:
        return False
    return after in _STOPS or after in WORDS.lead or after in WORDS.finite or after in WORDS.state
