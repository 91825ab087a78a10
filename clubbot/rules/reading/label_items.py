"""One label, or a word that stands where one should, at one place in a text."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.reading.labelbook import Labels, find, slip
from clubbot.rules.reading.letters import initial, part_of_name, stands_for_label
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import (
    KIT,
    KNOWN,
    MONTHS,
    NUMBER_WORDS,
    PEOPLE,
    SEPARATORS,
    words,
)

RANGE = frozenset({"-", "to", "until", "through"})
LABEL_WORDS = frozenset({"no", "nr", "number", "num", "#", "label", "called", "named", ":"})
_TIME_AFTER = frozenset(
    {*RANGE, *MONTHS, *PEOPLE, *words("am pm o'clock hours hour minutes days weeks : / of more")}
)
_MOST_DIGITS = 3


@dataclass(frozen=True, slots=True)
class Reader:
    """One list of labels: what stands before it decides how much counts as a label."""

    line: Line
    labels: Labels
    after_kit: bool
    plural: bool
    counted: bool
    strict: bool


@dataclass(frozen=True, slots=True)
class Item:
    label: str | None
    word: str
    after: int
    guessed: bool = False


def whole(line: Line, at: int, labels: Labels) -> Item | None:
    """A label that is spelled with the kit word itself."""
    found = find(line, at, labels, spaced=True)
    return Item(found[0], "", found[1]) if found is not None and found[2] > 1 else None


def known_at(reader: Reader, at: int, sure: bool) -> Item | None:
    line = reader.line
    found = find(line, at, reader.labels, spaced=sure) or _numbered(reader, at)
    if found is None:
        return None
    label, after, size = found
    digits = line.kind(at) == "num" and size == 1
    if digits and not (sure and _digits_are_label(reader, at, after)):
        return None
    if sure or stands_for_label(line, at, size):
        return Item(label, line.said(at, after), after)
    return None


def _numbered(reader: Reader, at: int) -> tuple[str, int, int] | None:
    """ "kit four" where the labels are numbers."""
    value = NUMBER_WORDS.get(reader.line.low(at))
    if value is None or not reader.after_kit or reader.counted:
        return None
    label = reader.labels.by_words.get((str(value),))
    return (label, at + 1, 1) if label is not None else None


def _digits_are_label(reader: Reader, at: int, after: int) -> bool:
    """A number is a label after a kit word that is not counted itself, and when it is no time."""
    line = reader.line
    if not reader.after_kit or (reader.counted and line.low(at - 1) in KIT):
        return False
    if line.low(after) in {"-", "to", "until", ":"} and time_like(line, after + 1):
        listed = line.low(at - 1) in SEPARATORS | KIT | LABEL_WORDS
        return reader.plural and listed and line.low(after + 2) not in {"am", "pm"}
    return line.low(after) not in _TIME_AFTER or line.low(after) in {"-", "to", "until", ":"}


def time_like(line: Line, at: int) -> bool:
    """True where a span could end: at a number or a time."""
    numbers = {"num", "clock", "hclock", "dots"}
    return line.kind(at) in numbers or line.low(at) in {*NUMBER_WORDS, "noon", "half", "quarter"}


def slipped_at(reader: Reader, at: int) -> Item | None:
    line = reader.line
    if line.kind(at) != "word" or line.low(at) in KNOWN or not reader.labels.wordy:
        return None
    label = slip(line.raw(at).lower(), reader.labels)
    return Item(label, line.raw(at), at + 1, not reader.after_kit) if label is not None else None


def coded_at(line: Line, at: int) -> int | None:
    """The token after a code such as R9 or R-9."""
    if line.kind(at) != "word" or len(line.raw(at)) > 2 or line.low(at) in KNOWN | {"x"}:
        return None
    step = at + 1 + (line.low(at + 1) == "-" and line.glued(at + 1))
    if line.kind(step) != "num" or not line.glued(step) or line.low(step + 1) == ":":
        return None
    return None if line.glued(step + 1) and line.kind(step + 1) == "word" else step + 1


def unknown_number_at(reader: Reader, at: int) -> Item | None:
    """The 99 of "kit 99"; after "kits" a number is a count unless the labels are numbers."""
    line = reader.line
    if reader.counted or len(line.raw(at)) > _MOST_DIGITS:
        return None
    if reader.plural and not reader.labels.digits:
        return None
    after = line.low(at + 1)
    glued = line.glued(at + 1) and line.kind(at + 1) == "word"
    spans = after in {"-", "to", "until", ":"} and not time_like(line, at + 2)
    if (after in _TIME_AFTER and not spans) or glued or after in KIT:
        return None
    return Item(None, line.raw(at), at + 1)


def unknown_word_at(reader: Reader, at: int) -> Item | None:
    """A letter, code or name that stands where a label should and is none of the club's."""
    line, labels, raw = reader.line, reader.labels, reader.line.raw(at)
    if line.kind(at) != "word":
        return None
    coded = coded_at(line, at)
    if coded is not None:
        ours = line.low(at) in labels.prefixes and raw.isupper()
        return Item(None, line.said(at, coded), coded) if reader.after_kit or ours else None
    if line.glued(at + 1) and line.kind(at + 1) in {"num", "word"}:
        return None
    if len(raw) == 1:
        return Item(None, raw, at + 1) if _letter_is_unknown(reader, at) else None
    if line.low(at) in KNOWN or not reader.after_kit or reader.plural:
        return None
    named = raw[0].isupper() and not line.text.isupper()
    lone = reader.strict and labels.wordy and not reader.counted and _ends_here(line, at)
    return Item(None, raw, at + 1) if named or lone else None


def _letter_is_unknown(reader: Reader, at: int) -> bool:
    line, raw = reader.line, reader.line.raw(at)
    if reader.after_kit:
        short = initial(line, at) or (reader.counted and raw.islower())
        if raw in {"a", "x", "i"} or short:
            return False
        return raw != "I" or line.low(at + 1) in {"", ",", ".", "on", "and"}
    named = part_of_name(line, at) or initial(line, at)
    return raw.isupper() and reader.labels.lettered and raw not in {"A", "I", "X"} and not named


def _ends_here(line: Line, at: int) -> bool:
    return at + 1 >= len(line) or line.low(at + 1) in KNOWN or line.kind(at + 1) != "word"
