"""Labels of kits: "kit D", "D, F and G", "D-F", "unit 4", "robot Otter", and what is none."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.label_items import (
    LABEL_WORDS,
    RANGE,
    Item,
    Reader,
    coded_at,
    known_at,
    slipped_at,
    unknown_number_at,
    unknown_word_at,
    whole,
)
from clubbot.rules.reading.labelbook import Labels, natural, prepare
from clubbot.rules.reading.letters import initial, stands_for_label
from clubbot.rules.reading.pieces import Named
from clubbot.rules.reading.tokens import Line, tokenise
from clubbot.rules.reading.vocabulary import KIT, KIT_MANY, KIT_ONE, KNOWN, SEPARATORS

_BEFORE_TIME = RANGE | {"at", "from", "between"}


def labels_at(line: Line, at: int, labels: Labels, strict: bool = True) -> tuple[Named, int] | None:
    """A label or a list of them that starts here, with or without a kit word before."""
    step = at
    if line.low(step) in KIT:
        while line.low(step) in KIT and whole(line, step, labels) is None:
            step += 1
        while step > at and line.low(step) in LABEL_WORDS:
            step += 1 + (line.low(step + 1) == "." and line.low(step) in {"no", "nr"})
    elif line.low(step) == "#" and line.kind(step + 1) in {"num", "word"}:
        step += 1
    counted = line.low(at - 1) in {"a", "one", "an", "another"} or (
        line.kind(at - 1) == "num" and line.low(at - 2) not in _BEFORE_TIME
    )
    plural = line.low(at) in KIT_MANY
    if line.low(at) in {"(", ":"} and line.low(at - 1) in KIT:
        step, counted = at + 1, False
    return _list_at(Reader(line, labels, step > at, plural, counted, strict), step)


def _list_at(reader: Reader, at: int) -> tuple[Named, int] | None:
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


def _first(reader: Reader, at: int) -> Item | None:
    line = reader.line
    spelled_out = whole(line, at, reader.labels) if line.low(at) in KIT else None
    if spelled_out is not None:
        return spelled_out
    known = known_at(reader, at, reader.after_kit)
    if known is not None:
        return known
    if reader.plural and _letters(reader, Item(None, line.raw(at), at + 1)):
        return Item(None, line.raw(at), at + 1)
    if reader.after_kit and coded_at(line, at) is None and line.kind(at) != "word":
        return unknown_number_at(reader, at) if line.kind(at) == "num" else None
    return slipped_at(reader, at) or unknown_word_at(reader, at)


def _next(reader: Reader, at: int) -> Item | None:
    """The next item of a list: after a separator, or (after "kits") just a space."""
    line, step = reader.line, at
    while line.low(step) in SEPARATORS and step < at + 2:
        step += 1
    step += line.low(step) == "or"
    if step == at:
        if not (reader.after_kit and reader.plural) or line.glued(at):
            return None
        return known_at(reader, at, line.kind(at) == "num" or len(line.raw(at)) == 1)
    again = line.low(step) in KIT or line.low(step) == "#"
    while line.low(step) in KIT or line.low(step) == "#":
        step += 1
    known = known_at(reader, step, True) if line.kind(step) == "num" else _listed(reader, step)
    if known is not None:
        return known
    coded = coded_at(line, step)
    if coded is not None and (again or line.low(step) in reader.labels.prefixes):
        return Item(None, line.said(step, coded), coded)
    if line.kind(step) == "num" and (again or (reader.plural and reader.labels.digits)):
        return unknown_number_at(reader, step)
    raw = line.raw(step)
    bare = line.kind(step) == "word" and len(raw) == 1 and not line.glued(step + 1)
    if bare and raw not in {"I", "a", "i"} and (raw.isupper() or reader.after_kit):
        return None if initial(line, step) else Item(None, raw, step + 1)
    return None


def _listed(reader: Reader, at: int) -> Item | None:
    """A label inside a list; "I" only where no verb follows, as in "D, I need it"."""
    line = reader.line
    if line.raw(at) in {"a", "i", "I"} and not stands_for_label(line, at, 1):
        return None
    known = known_at(reader, at, True)
    if known is not None and line.low(at) in KNOWN and len(line.raw(at)) > 1:
        return known if reader.after_kit else None
    return known or (slipped_at(reader, at) if reader.after_kit else None)


def _range(reader: Reader, last: Item, at: int) -> list[Item]:
    """The labels after `last` up to the one named behind a dash or "to", in counting order."""
    line = reader.line
    if line.low(at) not in RANGE or last.label is None:
        return []
    step = at + 1 + (line.low(at + 1) in KIT_ONE)
    item = known_at(reader, step, True) or _short_end(reader, last.label, step)
    if item is None or item.label is None:
        raw = line.raw(step)
        odd = len(raw) == 1 and raw.isupper() and len(last.label) == 1 and line.kind(step) == "word"
        return [Item(None, raw, step + 1)] if odd and not line.glued(step + 1) else []
    ordered = sorted(reader.labels.spelled, key=natural)
    low, high = ordered.index(last.label), ordered.index(item.label)
    return [Item(label, label, item.after) for label in ordered[low + 1 : high + 1]]


def _letters(reader: Reader, item: Item) -> list[Item]:
    """ "kits DEF": single letters written together, when every one of them is a label."""
    found = [reader.labels.by_words.get((letter.lower(),)) for letter in item.word]
    known = [Item(label, label, item.after) for label in found if label is not None]
    return known if len(known) == len(found) > 1 and item.word.isupper() else []


def _short_end(reader: Reader, left: str, at: int) -> Item | None:
    """The 3 of "R1-3"."""
    line = reader.line
    if line.kind(at) != "num" or not line.glued(at) or not line.glued(at - 1):
        return None
    prefix = left.rstrip("0123456789")
    label = reader.labels.by_words.get((prefix.lower(), line.raw(at))) if prefix else None
    return Item(label, line.raw(at), at + 1) if label is not None else None


def read_labels(text: str, labels: Sequence[str]) -> tuple[list[str], list[str]]:
    """The club's labels that a text names, as the club spells them, and the words that look like
    labels and are none; both in the order of the text, each once."""
    ready = prepare(labels)
    line = tokenise(text, ready.protected)
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
