"""When a letter or word that stands alone, without "kit" before it, is meant as a label.

A and I are also words, B may be somebody's initial, a room or a class. A lone capital A is a label
where a verb or a day follows it or a list says so; I only in a list.
"""

from __future__ import annotations

from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import GROUPS, KIT, KNOWN, SEPARATORS, WEEKDAYS, words

_VERBS = frozenset(
    words(
        "is isn't isnt was wasn't has hasn't had won't wont will keeps kept does doesn't doesnt "
        "did didn't can't cant cannot needs stopped stops died dies dead broke broken lost fell "
        "runs ran shows says went goes makes looks feels sounds works and"
    )
)
_AFTER_A = (
    frozenset({*WEEKDAYS, *words("today tomorrow on from for at please tonight is")}) | _VERBS
)
_SPANS = frozenset({"or", "-", "to", "until"})
# Lower-case letters that are shorthand for words, or units.
_SIGNS = frozenset("xhmpnwurstkcyovq")
_ORDERS = frozenset(
    words("grab give gimme hold lend hand put bring keep save try move swap check where's wheres")
)
_NAMES_BEFORE = GROUPS | frozenset(
    words(
        "mr mrs ms miss dr sir prof plan option building wing type set series vitamin hepatitis "
        "classes years teams groups rooms the"
    )
) - {"the"}


def stands_for_label(line: Line, at: int, size: int) -> bool:
    """Whether the `size` tokens of a label here, with no kit word before, name a kit."""
    if part_of_name(line, at) or (line.low(at) == "a" and line.low(at + 1) in KIT):
        return False
    if size > 1:
        return True
    raw = line.raw(at)
    if len(raw.removesuffix("'s")) > 1:
        return line.low(at) not in KNOWN
    return _letter_is_label(line, at)


def part_of_name(line: Line, at: int) -> bool:
    """True for the B of "Room B" and "Ms B"."""
    return line.raw(at - 1).lower() in _NAMES_BEFORE


def initial(line: Line, at: int) -> bool:
    """True for the B of "Amy B" and of "P.B.", "Q&A", "C++"."""
    if line.low(at + 1) == "." and line.glued(at + 1) and line.glued(at + 2):
        return True
    if line.low(at - 1) == "." and line.glued(at) and len(line.raw(at - 2)) == 1:
        return True
    if line.is_at(at + 1, "+", "+") or line.raw(at + 1) == "#":
        return True
    before = line.raw(at - 1)
    named = before[:1].isupper() and before[1:].islower() and line.low(at - 1) not in KNOWN
    opening = at <= 1 or line.kind(at - 2) == "sym"
    return named and len(before) > 2 and not (opening and before.lower() in _ORDERS)


def _letter_is_label(line: Line, at: int) -> bool:
    raw, low = line.raw(at)[:1], line.raw(at)[:1].lower()
    listed = beside_letter(line, at)
    if initial(line, at) and not listed:
        return False
    if raw == "A":
        return listed or line.low(at + 1) in _AFTER_A or line.low(at + 1) in {"", ",", "."}
    if low in {"a", "i"}:
        noun = line.kind(at + 1) == "word" and line.low(at + 1) not in _AFTER_A | SEPARATORS | {
            "or"
        }
        return listed and not noun
    return raw.isupper() or listed or low not in _SIGNS


def beside_letter(line: Line, at: int) -> bool:
    """True inside a list of single letters: "A and B", "D, I", "a-c"."""

    def letter(step: int) -> bool:
        return line.kind(step) == "word" and len(line.raw(step)) == 1

    after, before = at + 1, at - 1
    while line.low(after) in SEPARATORS | _SPANS and after < at + 3:
        after += 1
    while line.low(before) in SEPARATORS | _SPANS and before > at - 3:
        before -= 1
    follows = after > at + 1 and letter(after) and not _pronoun(line, after)
    return follows or (before < at - 1 and letter(before) and not _pronoun(line, at))


def _pronoun(line: Line, at: int) -> bool:
    """True for the I of "D, I need it": a verb follows."""
    plain = {*SEPARATORS, *_AFTER_A, "", ".", "or", "-", "!", "?", ":", ";"} - {"n"}
    verb = line.low(at + 1) in _VERBS - {"is", "and"}
    return line.raw(at) in {"I", "i"} and (line.low(at + 1) not in plain or verb)
