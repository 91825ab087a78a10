"""Which of the kits that a message names are the ones at fault."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.faults.naming import Candidate
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_SOON = 4
_CLAUSE = 6
_DO = frozenset(["does", "did", "do", "can", "could", "will"])
_JOINTS = frozenset(["and", "but", "so", "because", "while", "only"])


def at_fault(line: Line, mentions: Sequence[Candidate]) -> tuple[str, ...]:
    """The labels without those that are only named as being well: "D won't start, F is fine"."""
    poorly = {each.label for each in mentions if not _well(line, each)}
    kept = [each.label for each in mentions if not poorly or each.label in poorly]
    return tuple(dict.fromkeys(kept))


def beside_the_point(line: Line, mentions: Sequence[Candidate]) -> frozenset[int]:
    """The places of words that only say that another kit is well: ", F works fine"."""
    well = [each for each in mentions if _well(line, each)]
    if len(well) == len(mentions):
        return frozenset()
    places: set[int] = set()
    for mention in well:
        end = mention.after
        while end < len(line) and line.kind(end) != "sym" and line.low(end) not in _JOINTS:
            end += 1
        places.update(range(mention.first, end))
    return frozenset(places)


def _does(line: Line, mention: Candidate) -> bool:
    """ "D won't charge, E does", "... but E on the same charger is"."""
    before = line.low(mention.first - 1)
    end = mention.after
    while end < len(line) and line.kind(end) != "sym" and end - mention.after < _CLAUSE:
        end += 1
    last = line.low(end - 1) if end > mention.after and line.kind(end) in {"", "sym"} else ""
    if before == "but":
        return last in _DO | {"is", "are", "was"}
    return before in {"and", ","} and end == mention.after + 1 and last in _DO


def _well(line: Line, mention: Candidate) -> bool:
    """True when the label is said to be in order, or to be another that was used to compare."""
    after = mention.after
    while line.low(after) in WORDS.calm:
        after += 1
    if line.low(after) in WORDS.fine:
        behind = line.low(after + 1)
        return behind not in WORDS.limits and not (
            behind == "but" and line.kind(after + 2) == "word" and len(line.raw(after + 2)) > 1
        )
    before = [line.low(mention.first - step) for step in (1, 2, 3)]
    if _does(line, mention) or before[0] in {"than", "unlike"}:
        return True
    if before[0] not in {"in", "on", "with"}:
        return False
    soon = {line.low(at) for at in range(after, after + _SOON)} if before[0] == "with" else set()
    return bool({"fine", "works", "worked"} & ({*before[1:]} | soon))
