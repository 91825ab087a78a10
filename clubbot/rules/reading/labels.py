"""Labels of kits: "kit D", "D, F and G", "D-F", "unit 4", "robot Otter", and what is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.labelbook import Labels, find, natural, prepare, protected_words, slip
from clubbot.rules.reading.letters import initial, stands_for_label
from clubbot.rules.reading.pieces import Named
from clubbot.rules.reading.tokens import Line, tokenise
from clubbot.rules.reading.vocabulary import (
    GROUPS,
    KIT,
    KIT_MANY,
    KIT_ONE,
    KNOWN,
    MONTHS,
    NUMBER_WORDS,
    PEOPLE,
    SEPARATORS,
    words,
)

_RANGE = frozenset({"-", "to", "until", "through"})
_TIME_AFTER = frozenset(
    {*_RANGE, *MONTHS, *PEOPLE, *words("am pm o'clock hours hour minutes days weeks : / of more")}
)
_BEFORE_TIME = _RANGE | {"at", "from", "between"}
_LABEL_WORDS = frozenset({"no", "nr", "number", "num", "#", "label", "called", "named", ":"})
_MOST_DIGITS = 3


@dataclass(frozen=True, slots=True)
class _Reader:
    """One list of labels: what stands before it decides how much counts as a label."""

    line: Line
    labels: Labels
    after_kit: bool
    plural: bool
    counted: bool
    strict: bool


@dataclass(frozen=True, slots=True)
class _Item:
    label: str | None
    word: str
    after: int
    guessed: bool = False


def labels_at(line: Line, at: int, labels: Labels, strict: bool = True) -> tuple[Named, int] | None:
    """A label or a list of them that starts here, with or without a kit word before."""
    step = at
    if line.low(step) in KIT:
        while line.low(step) in KIT and _whole(line, step, labels) is None:
            step += 1
        while step > at and line.low(step) in _LABEL_WORDS:
            step += 1 + (line.low(step + 1) == "." and line.low(step) in {"no", "nr"})
    elif line.low(step) == "#" and line.kind(step + 1) in {"num", "word"}:
        step += 1
    counted = line.low(at - 1) in {"a", "one", "an", "another"} or (
        line.kind(at - 1) == "num" and line.low(at - 2) not in _BEFORE_TIME
    )
    plural = line.low(at) in KIT_MANY
    if line.low(at) in {"(", ":"} and line.low(at - 1) in KIT:
        step, counted = at + 1, False
    return _list_at(_Reader(line, labels, step > at, plural, counted, strict), step)


def _whole(line: Line, at: int, labels: Labels) -> _Item | None:
    """A label that is spelled with the kit word itself."""
    found = find(line, at, labels, spaced=True)
    return _Item(found[0], "", found[1]) if found is not None and found[2] > 1 else None


def _list_at(reader: _Reader, at: int) -> tuple[Named, int] | None:
    first = _first(reader, at)
    if first is None:
        return None
    found, choice = [first], False
    while True:
        after = found[-1].after
        spanned = _range(reader, found[-1], after)
        if spanned:
            found.extend(spanned)
            continue
        either = reader.line.low(after) == "or"
        item = _next(reader, after)
        if item is None:
            break
        choice = choice or either
        found.append(item)
    if len(found) == 1 and first.label is None and len(first.word) > 1 and first.word.isupper():
        found = _letters(reader, first) or found
    known = tuple(dict.fromkeys(item.label for item in found if item.label is not None))
    unknown = tuple(item.word for item in found if item.label is None)
    alone = len(found) == 1 and not reader.after_kit
    weak = (reader.line.raw(at).islower() or first.word == "A") and len(first.word) == 1
    faint = alone and (bool(unknown) or weak or first.guessed)
    return Named(known, unknown, choice and len(known) > 1, faint), found[-1].after


def _first(reader: _Reader, at: int) -> _Item | None:
    line = reader.line
    whole = _whole(line, at, reader.labels) if line.low(at) in KIT else None
    if whole is not None:
        return whole
    known = _known(reader, at, reader.after_kit)
    if known is not None:
        return known
    if reader.plural and _letters(reader, _Item(None, line.raw(at), at + 1)):
        return _Item(None, line.raw(at), at + 1)
    if reader.after_kit and _coded_here(line, at) is None and line.kind(at) != "word":
        return _unknown_number(reader, at) if line.kind(at) == "num" else None
    return _slipped(reader, at) or _unknown_word(reader, at)


def _known(reader: _Reader, at: int, sure: bool) -> _Item | None:
    line = reader.line
    found = find(line, at, reader.labels, spaced=sure) or _numbered(reader, at)
    if found is None:
        return None
    label, after, size = found
    digits = line.kind(at) == "num" and size == 1
    if digits and not (sure and _digits_are_label(reader, at, after)):
        return None
    if sure or stands_for_label(line, at, size):
        return _Item(label, line.said(at, after), after)
    return None


def _numbered(reader: _Reader, at: int) -> tuple[str, int, int] | None:
    """ "kit four" where the labels are numbers."""
    value = NUMBER_WORDS.get(reader.line.low(at))
    if value is None or not reader.after_kit or reader.counted:
        return None
    label = reader.labels.by_words.get((str(value),))
    return (label, at + 1, 1) if label is not None else None


def _digits_are_label(reader: _Reader, at: int, after: int) -> bool:
    """A number is a label after a kit word that is not counted itself, and when it is no time."""
    line = reader.line
    if not reader.after_kit or (reader.counted and line.low(at - 1) in KIT):
        return False
    if line.low(after) in {"-", "to", "until"}:
        listed = line.low(at - 1) in SEPARATORS | KIT | _LABEL_WORDS
        return reader.plural and listed and line.low(after + 2) not in {"am", "pm"}
    return line.low(after) not in _TIME_AFTER


def _next(reader: _Reader, at: int) -> _Item | None:
    """The next item of a list: after a separator, or (after "kits") just a space."""
    line, step = reader.line, at
    while line.low(step) in SEPARATORS and step < at + 2:
        step += 1
    step += line.low(step) == "or"
    if step == at:
        if not (reader.after_kit and reader.plural) or line.glued(at):
            return None
        return _known(reader, at, line.kind(at) == "num" or len(line.raw(at)) == 1)
    again = line.low(step) in KIT or line.low(step) == "#"
    while line.low(step) in KIT or line.low(step) == "#":
        step += 1
    known = _known(reader, step, True) if line.kind(step) == "num" else _listed(reader, step)
    if known is not None:
        return known
    coded = _coded_here(line, step)
    if coded is not None and (again or line.low(step) in reader.labels.prefixes):
        return _Item(None, line.said(step, coded), coded)
    if line.kind(step) == "num" and (again or (reader.plural and reader.labels.digits)):
        return _unknown_number(reader, step)
    raw = line.raw(step)
    bare = line.kind(step) == "word" and len(raw) == 1 and not line.glued(step + 1)
    if bare and raw not in {"I", "a", "i"} and (raw.isupper() or reader.after_kit):
        return None if initial(line, step) else _Item(None, raw, step + 1)
    return None


def _listed(reader: _Reader, at: int) -> _Item | None:
    """A label inside a list; "I" only where no verb follows, as in "D, I need it"."""
    line = reader.line
    if line.raw(at) in {"a", "i", "I"} and not stands_for_label(line, at, 1):
        return None
    known = _known(reader, at, True)
    if known is not None and line.low(at) in KNOWN and len(line.raw(at)) > 1:
        return known if reader.after_kit else None
    return known or (_slipped(reader, at) if reader.after_kit else None)


def _range(reader: _Reader, last: _Item, at: int) -> list[_Item]:
    """The labels after `last` up to the one named behind a dash or "to", in counting order."""
    line = reader.line
    if line.low(at) not in _RANGE or last.label is None:
        return []
    step = at + 1 + (line.low(at + 1) in KIT_ONE)
    item = _known(reader, step, True) or _short_end(reader, last.label, step)
    if item is None or item.label is None:
        raw = line.raw(step)
        odd = len(raw) == 1 and raw.isupper() and len(last.label) == 1 and line.kind(step) == "word"
        return [_Item(None, raw, step + 1)] if odd and not line.glued(step + 1) else []
    ordered = sorted(reader.labels.spelled, key=natural)
    low, high = ordered.index(last.label), ordered.index(item.label)
    return [_Item(label, label, item.after) for label in ordered[low + 1 : high + 1]]


def _letters(reader: _Reader, item: _Item) -> list[_Item]:
    """ "kits DEF": single letters written together, when every one of them is a label."""
    found = [reader.labels.by_words.get((letter.lower(),)) for letter in item.word]
    known = [_Item(label, label, item.after) for label in found if label is not None]
    return known if len(known) == len(found) > 1 and item.word.isupper() else []


def _short_end(reader: _Reader, left: str, at: int) -> _Item | None:
    """The 3 of "R1-3"."""
    line = reader.line
    if line.kind(at) != "num" or not line.glued(at) or not line.glued(at - 1):
        return None
    prefix = left.rstrip("0123456789")
    label = reader.labels.by_words.get((prefix.lower(), line.raw(at))) if prefix else None
    return _Item(label, line.raw(at), at + 1) if label is not None else None


def _slipped(reader: _Reader, at: int) -> _Item | None:
    line = reader.line
    if line.kind(at) != "word" or line.low(at) in KNOWN or not reader.labels.wordy:
        return None
    label = slip(line.raw(at).lower(), reader.labels)
    return _Item(label, line.raw(at), at + 1, not reader.after_kit) if label is not None else None


def _coded_here(line: Line, at: int) -> int | None:
    """The token after a code such as R9 or R-9."""
    if line.kind(at) != "word" or len(line.raw(at)) > 2 or line.low(at) in KNOWN | {"x"}:
        return None
    step = at + 1 + (line.low(at + 1) == "-" and line.glued(at + 1))
    if line.kind(step) != "num" or not line.glued(step) or line.low(step + 1) == ":":
        return None
    return None if line.glued(step + 1) and line.kind(step + 1) == "word" else step + 1


def _unknown_number(reader: _Reader, at: int) -> _Item | None:
    """The 99 of "kit 99"; after "kits" a number is a count unless the labels are numbers."""
    line = reader.line
    if reader.counted or len(line.raw(at)) > _MOST_DIGITS:
        return None
    if reader.plural and not reader.labels.digits:
        return None
    after = line.low(at + 1)
    glued = line.glued(at + 1) and line.kind(at + 1) == "word"
    if after in _TIME_AFTER or glued or after in KIT:
        return None
    return _Item(None, line.raw(at), at + 1)


def _unknown_word(reader: _Reader, at: int) -> _Item | None:
    """A letter, code or name that stands where a label should and is none of the club's."""
    line, labels, raw = reader.line, reader.labels, reader.line.raw(at)
    if line.kind(at) != "word":
        return None
    coded = _coded_here(line, at)
    if coded is not None:
        ours = line.low(at) in labels.prefixes and raw.isupper()
        return _Item(None, line.said(at, coded), coded) if reader.after_kit or ours else None
    if line.glued(at + 1) and line.kind(at + 1) in {"num", "word"}:
        return None
    if len(raw) == 1:
        return _Item(None, raw, at + 1) if _letter_is_unknown(reader, at) else None
    if line.low(at) in KNOWN or not reader.after_kit or reader.plural:
        return None
    named = raw[0].isupper() and not line.text.isupper()
    lone = reader.strict and labels.wordy and not reader.counted and _ends_here(line, at)
    return _Item(None, raw, at + 1) if named or lone else None


def _letter_is_unknown(reader: _Reader, at: int) -> bool:
    line, raw = reader.line, reader.line.raw(at)
    if reader.after_kit:
        if raw in {"a", "x", "i"} or (reader.counted and raw.islower()):
            return False
        return raw != "I" or line.low(at + 1) in {"", ",", ".", "on", "and"}
    named = line.raw(at - 1).lower() in GROUPS or initial(line, at)
    return raw.isupper() and reader.labels.lettered and raw not in {"A", "I", "X"} and not named


def _ends_here(line: Line, at: int) -> bool:
    return at + 1 >= len(line) or line.low(at + 1) in KNOWN or line.kind(at + 1) != "word"


def read_labels(text: str, labels: Sequence[str]) -> tuple[list[str], list[str]]:
    """The club's labels that a text names, as the club spells them, and the words that look like
    labels and are none; both in the order of the text, each once."""
    ready = prepare(labels)
    line = tokenise(text, protected_words(ready))
    known: dict[str, None] = {}
    unknown: dict[str, None] = {}
    at = 0
    while at < len(line):
        found = labels_at(line, at, ready, strict=False)
        if found is None:
            number = number_at(line, at)
            many = number is not None and line.low(number[1]) in KIT_MANY
            at = number[1] + 1 if number is not None and many else at + 1
            continue
        known.update(dict.fromkeys(found[0].known))
        unknown.update(dict.fromkeys(found[0].unknown))
        at = max(found[1], at + 1)
    return list(known), list(unknown)
