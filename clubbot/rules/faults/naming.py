"""Which of the club's kits a message names.

Labels may be letters, numbers, letters with numbers, or words. A and I are also words, a number
may count something, Bolt or Red may be a part or a colour: what stands around decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from clubbot.rules.faults.names import prepare
from clubbot.rules.faults.naming_places import Candidate, spelled
from clubbot.rules.faults.naming_weighing import meant
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_MANY_DO = frozenset(["are", "were", "keep", "go", "stay", "have", "need", "wont", "dont", "cant"])


def find_mentions(line: Line, labels: Sequence[str]) -> tuple[Candidate, ...]:
    """The places where labels are meant, in the order of the text."""
    found = meant(line, spelled(line, prepare(tuple(labels))))
    return tuple(_with_ranges(line, tuple(labels), found))


def _with_ranges(
    line: Line, labels: tuple[str, ...], found: list[Candidate]
) -> Iterator[Candidate]:
    """ "kits A-D" and "robots 3 to 5" name those between, too, in the club's order."""
    for at, mention in enumerate(found):
        yield mention
        later = found[at + 1] if at + 1 < len(found) else None
        if later is None or later.first != mention.after + 1 or later.kind == "word":
            continue
        joint = line.low(mention.after)
        many = line.low(mention.first - 1) in WORDS.many
        wide = joint == "to" and _from_all(line, mention, later)
        if joint in {"to", "until", "through", "-"} and (many or wide or line.glued(mention.after)):
            first, last = labels.index(mention.label), labels.index(later.label)
            yield from (replace(mention, label=label) for label in labels[first + 1 : last])


def _from_all(line: Line, first: Candidate, last: Candidate) -> bool:
    """ "A to D are to be charged", "reserve K3 to K7", "everything from D to G".

    Not "connect A to D"; of numbers, which may be a time, only "3 to 5 are back" and the like.
    """
    before, earlier = line.low(first.first - 1), line.low(first.first - 2)
    if before == "from":
        return earlier in {"everything", "all", "everyone"}
    leads = first.first == 0 or before in {":", ".", ",", "like", "book", "reserve", "have", "need"}
    if first.kind == "number":
        leads = first.first == 0 and line.low(last.after) in _MANY_DO
    return first.kind == last.kind != "word" and leads
