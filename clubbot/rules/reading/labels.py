"""Labels of kits: "kit D", "D, F and G", "D-F", "unit 4", "robot Otter", and what is none.

A and I are also words. A lone capital A is a label where a list, a kit word or a verb says so
("kit A", "A and B", "A won't start"); I is one only beside a kit word or in a list.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.pieces import Named
from clubbot.rules.reading.tokens import Line, tokenise
from clubbot.rules.reading.vocabulary import KIT, KIT_MANY, KIT_ONE, KNOWN, SEPARATORS, words

_VERBS = frozenset(
    words(
        "is isn't isnt was wasn't has hasn't had won't wont will keeps kept does doesn't doesnt "
        "did didn't can't cant cannot needs stopped stops died dies dead broke broken lost fell "
        "runs ran shows says went goes makes looks feels sounds works"
    )
)
_RANGE = frozenset({"-", "to", "until", "through"})
_LABEL_WORDS = frozenset({"no", "nr", "number", "num", "#", "no.", "label", "called", "named", ":"})
_LETTER_SIGNS = frozenset({"x", "h", "m", "p", "n", "w", "u", "r", "s", "t", "k"})
_FEWEST_LETTERS_FOR_A_SLIP = 4


@dataclass(frozen=True, slots=True)
class Labels:
    """A club's labels, made ready for looking up."""

    spelled: tuple[str, ...]
    by_words: dict[tuple[str, ...], str]
    longest: int
    shapes: frozenset[str]
    wordy: bool
    digits: bool


def prepare(labels: Sequence[str]) -> Labels:
    """Labels in the club's spelling, looked up without regard to case or spaces."""
    by_words: dict[tuple[str, ...], str] = {}
    for label in labels:
        line = tokenise(label)
        words = tuple(token.text.lower() for token in line.tokens)
        if words:
            by_words.setdefault(words, label)
    return Labels(
        tuple(by_words.values()),
        by_words,
        max((len(words) for words in by_words), default=0),
        frozenset(_shape(label) for label in by_words.values()),
        any(len(label) > 2 and label.isalpha() for label in by_words.values()),
        any(label.isdigit() for label in by_words.values()),
    )


def _shape(word: str) -> str:
    return re.sub(r"\d+", "0", re.sub(r"[^\W\d_]", "A", word))


def label_words(labels: Labels) -> frozenset[str]:
    """The words that are never put right, because a label is spelled that way."""
    return frozenset(word for words in labels.by_words for word in words if len(word) > 2)


def labels_at(line: Line, at: int, labels: Labels, strict: bool = True) -> tuple[Named, int] | None:
    """A label or a list of them that starts here, with or without a kit word before."""
    step, after_kit = at, False
    if line.low(step) in KIT:
        while line.low(step) in KIT and not _known(line, step, labels, False, False):
            step += 1
        after_kit = step > at
        while line.low(step) in _LABEL_WORDS and (line.low(step) != "no" or after_kit):
            step += 1 + (line.low(step + 1) == "." and line.low(step) in {"no", "nr"})
    elif line.low(step) == "#":
        step, after_kit = step + 1, True
    counted = line.low(at - 1) in {"a", "one", "an", "another"} or line.kind(at - 1) == "num"
    return _list_at(
        _Reader(line, labels, after_kit, counted, strict, line.low(at) in KIT_MANY), step
    )


@dataclass(frozen=True, slots=True)
class _Reader:
    line: Line
    labels: Labels
    after_kit: bool
    counted: bool
    strict: bool
    plural: bool


def _list_at(reader: _Reader, at: int) -> tuple[Named, int] | None:
    first = _item(reader, at, reader.after_kit)
    if first is None:
        return None
    found, after = [first[0]], first[1]
    choice = False
    while True:
        line = reader.line
        last = found[-1]
        if line.low(after) in _RANGE and last[0] is not None:
            span = _range(reader, last[0], after + 1)
            if span is not None:
                found.extend((label, None) for label in span[0])
                after = span[1]
                continue
        step = _after_separator(line, after)
        either = line.low(after) == "or"
        step += (step > after or either) and line.low(step + either) in KIT_ONE
        item = _item(reader, step + either, True, first=False) if step > after or either else None
        if item is None and reader.after_kit and reader.plural and not line.glued(after):
            item = _item(reader, after, False, first=False)
        if item is None:
            break
        choice = choice or either
        found.append(item[0])
        after = item[1]
    if _lone_word(reader, at, found, after):
        return None
    known = tuple(dict.fromkeys(label for label, _ in found if label is not None))
    unknown = tuple(word for _, word in found if word is not None)
    return Named(known, unknown, choice and len(known) > 1), after


def _after_separator(line: Line, at: int) -> int:
    step = at
    while line.low(step) in SEPARATORS and step < at + 2:
        step += 1
    return step


Item = tuple[tuple[str | None, str | None], int]


def _item(reader: _Reader, at: int, sure: bool, first: bool = True) -> Item | None:
    """One label or a word that stands where one should: ((known, unknown), after)."""
    line = reader.line
    known = _known(line, at, reader.labels, sure, reader.counted or not reader.after_kit)
    if known is not None:
        return (known[0], None), known[1]
    word = line.raw(at)
    if sure and line.kind(at) == "word" and reader.labels.wordy and line.low(at) not in KNOWN:
        slip = _slip(word.lower(), reader.labels)
        if slip is not None:
            return (slip, None), at + 1
    if sure and first and reader.plural and word.isupper() and len(word) > 1 and word.isalpha():
        return None
    return _unknown(reader, at, sure, first)


def _known(
    line: Line, at: int, labels: Labels, sure: bool, digits_off: bool
) -> tuple[str, int] | None:
    for size in range(min(labels.longest, len(line) - at), 0, -1):
        words = tuple(line.raw(at + step).lower() for step in range(size))
        label = labels.by_words.get(words) or labels.by_words.get(
            (_possessive(words[0]), *words[1:])
        )
        glued = size == 1 or all(
            line.glued(at + step) or len(words[step]) > 1 or sure for step in range(1, size)
        )
        if label is None or not glued or not _free_standing(line, at, at + size, sure):
            continue
        if words[0].isdigit() and size == 1 and (digits_off and line.low(at - 1) not in SEPARATORS):
            continue
        if words[0].isdigit() and size == 1 and not (sure and _no_time(line, at + 1)):
            continue
        if sure or _stands_for_label(line, at, size, words[0]):
            return label, at + size
    return None


def _possessive(word: str) -> str:
    return word.removesuffix("'s")


def _free_standing(line: Line, at: int, after: int, sure: bool) -> bool:
    """True unless the label would be a piece of a longer word such as 5p, 2A or D7."""
    before = line.glued(at) and line.kind(at - 1) in {"num", "word"} and line.low(at - 1) not in KIT
    behind = line.glued(after) and line.kind(after) in {"num", "word"}
    return not before and not (behind and line.low(after) not in KIT)


def _no_time(line: Line, after: int) -> bool:
    """True when a number before this token is no time of day."""
    low = line.low(after)
    return low not in {"am", "pm", "o'clock", "hours", "minutes", ":"} and not (
        low in {"-", "to", "until"} and line.low(after + 2) in {"am", "pm"}
    )


def _stands_for_label(line: Line, at: int, size: int, word: str) -> bool:
    """Whether a label without a kit word before it is meant as one."""
    if size > 1:
        return True
    if len(word) > 1:
        return line.low(at) not in KNOWN or (
            line.raw(at)[0].isupper()
            and len(word) > 3
            and line.low(at) == word
            and word not in KNOWN
        )
    return _letter_is_label(line, at)


def _letter_is_label(line: Line, at: int) -> bool:
    raw, word = line.raw(at), line.raw(at).lower()
    listed = _beside_letter(line, at)
    after = line.low(at + 1)
    if word == "a" and raw == "A":
        return listed or after in _VERBS or after == "" or _reads_as_day(after)
    if word in {"a", "i"}:
        return listed and (raw == "I" or word == "a")
    if raw.isupper():
        return True
    if word in _LETTER_SIGNS:
        return listed
    return True


def _reads_as_day(word: str) -> bool:
    from clubbot.rules.reading.vocabulary import WEEKDAYS

    return word in {*WEEKDAYS, "today", "tomorrow", "on", "from", "for", "at", "please", "tonight"}


def _beside_letter(line: Line, at: int) -> bool:
    """True inside a list of single letters: "A and B", "D, I"."""

    def letter(step: int) -> bool:
        return line.kind(step) == "word" and len(line.raw(step)) == 1

    after, before = at + 1, at - 1
    while line.low(after) in SEPARATORS | {"or"} and after < at + 3:
        after += 1
    while line.low(before) in SEPARATORS | {"or"} and before > at - 3:
        before -= 1
    spaced = (line.low(at + 1) == "-" and letter(at + 2)) or (
        line.low(at - 1) == "-" and letter(at - 2)
    )
    return (after > at + 1 and letter(after)) or (before < at - 1 and letter(before)) or spaced


def _slip(word: str, labels: Labels) -> str | None:
    """The one label a single slip away from a word, for labels long enough to tell."""
    if len(word) < _FEWEST_LETTERS_FOR_A_SLIP:
        return None
    from rapidfuzz.distance import OSA

    near = [
        label
        for label in labels.spelled
        if len(label) >= _FEWEST_LETTERS_FOR_A_SLIP
        and OSA.distance(word, label.lower(), score_cutoff=2) <= (1 if len(label) < 7 else 2)
    ]
    return near[0] if len(near) == 1 else None


def _unknown(reader: _Reader, at: int, sure: bool, first: bool) -> Item | None:
    """A word that stands where a label should and is none of the club's."""
    line, labels = reader.line, reader.labels
    raw, low, kind = line.raw(at), line.low(at), line.kind(at)
    item: Item = ((None, line.said(at, at + 1)), at + 1)
    if kind == "num":
        digits = sure and first and reader.after_kit and not reader.counted and len(raw) <= 3
        digits = digits and not reader.plural if not labels.digits else digits
        if digits or (sure and not first and labels.digits and reader.after_kit):
            alone = _no_time(line, at + 1) and line.low(at + 1) not in {"-", "to", "until", "/"}
            glued = line.glued(at + 1) and line.kind(at + 1) == "word"
            return item if alone and not glued and line.low(at + 1) not in KIT else None
        return None
    if kind != "word" or not (_free_standing(line, at, at + 1, sure) or _coded(line, at)):
        return None
    if _coded(line, at):
        coded = _shape(line.said(at, at + 2)) in labels.shapes and raw.isupper()
        return ((None, line.said(at, at + 2)), at + 2) if coded or (sure and first) else None
    if len(raw) == 1:
        return item if _unknown_letter(reader, at, sure, first) else None
    if low in KNOWN or not sure or not first or not reader.after_kit or reader.plural:
        return None
    named = raw[0].isupper() and not line.text.isupper()
    return item if named or (reader.strict and labels.wordy and _ends_here(line, at)) else None


def _coded(line: Line, at: int) -> bool:
    """A letter or two with a number glued on: R9, or with a dash, R-9."""
    return (
        line.kind(at) == "word"
        and len(line.raw(at)) <= 2
        and line.low(at) not in KNOWN
        and line.kind(at + 1) == "num"
        and line.glued(at + 1)
        and line.low(at) != "x"
        and not (line.glued(at + 2) and line.kind(at + 2) == "word")
    )


def _unknown_letter(reader: _Reader, at: int, sure: bool, first: bool) -> bool:
    line = reader.line
    raw, low = line.raw(at), line.low(at)
    if line.glued(at + 1) and line.kind(at + 1) not in {"sym", ""}:
        return False
    if reader.after_kit and sure and first:
        if low in {"a", "x"} and raw.islower():
            return False
        return raw != "I" or line.low(at + 1) in {"", ","}
    if not first:
        return sure and (raw.isupper() or reader.after_kit) and low not in {"a", "i"}
    return raw.isupper() and "A" in reader.labels.shapes and raw not in {"A", "I", "X"}


def _ends_here(line: Line, at: int) -> bool:
    return at + 1 >= len(line) or line.low(at + 1) in KNOWN or line.kind(at + 1) != "word"


def _range(reader: _Reader, left: str, at: int) -> tuple[list[str], int] | None:
    """The labels after `left` up to the one named here, in the order people count."""
    item = _item(reader, at, True, first=False)
    if item is None or item[0][0] is None:
        return None
    ordered = sorted(reader.labels.spelled, key=natural)
    low, high = ordered.index(left), ordered.index(item[0][0])
    return (ordered[low + 1 : high + 1], item[1]) if low < high else None


def natural(label: str) -> list[tuple[int, int, str]]:
    """A sorting key that puts R2 before R10."""
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part.lower())
        for part in re.findall(r"\d{1,9}|\D+", label)
    ]


def _lone_word(
    reader: _Reader, at: int, found: list[tuple[str | None, str | None]], after: int
) -> bool:
    """True for a single letter that is part of an abbreviation such as P.E."""
    line = reader.line
    single = len(found) == 1 and not reader.after_kit and len(line.raw(at)) == 1
    return single and line.low(after) in {".", "'"} and line.glued(after) and line.glued(after + 1)


Skip = Callable[[Line, int], int]


def read_labels(text: str, labels: Sequence[str]) -> tuple[list[str], list[str]]:
    """The club's labels that a text names, as the club spells them, and the words that look like
    labels and are none; both in the order of the text, each once."""
    ready = prepare(labels)
    line = tokenise(text, label_words(ready))
    known: dict[str, None] = {}
    unknown: dict[str, None] = {}
    at = 0
    while at < len(line):
        found = labels_at(line, at, ready, strict=False)
        if found is None:
            number = number_at(line, at)
            at = number[1] + 1 if number is not None and line.low(number[1]) in KIT_MANY else at + 1
            continue
        known.update(dict.fromkeys(found[0].known))
        unknown.update(dict.fromkeys(found[0].unknown))
        at = max(found[1], at + 1)
    return list(known), list(unknown)
