"""Which of the kits that a message names are the ones at fault."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from clubbot.rules.faults.naming_places import Candidate
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_SOON = 4
_CLAUSE = 6
_DO = frozenset(["does", "did", "do", "can", "could", "will"])
_JOINTS = frozenset(["and", "but", "so", "because", "while", "only"])
_WELL = frozenset(["fine", "ok", "okay", "normal", "normally", "perfect", "perfectly", "lovely"])
_EASILY = frozenset(
    [("straight", "away"), ("found", "its"), ("goes", "straight"), ("still", "has")]
)
_TROUBLE = frozenset(["trouble", "problem", "problems", "issue", "issues", "complaints"])
_TRIED = frozenset(["than", "swapped", "tested", "tried", "with", "put"])


def at_fault(line: Line, mentions: Sequence[Candidate]) -> tuple[str, ...]:
    """The labels without those named as being well or to compare: "D won't start, F is fine"."""
    well = well_ones(line, mentions)
    poorly = {each.label for each in mentions if each.poorly and each not in well}
    kept = [each.label for each in mentions if not poorly or each.label in poorly]
    return tuple(dict.fromkeys(kept))


def beside_the_point(line: Line, mentions: Sequence[Candidate]) -> frozenset[int]:
    """The places of words that only say that another kit is well: ", F works fine"."""
    well = well_ones(line, mentions)
    if len(well) == len(mentions):
        return frozenset()
    places: set[int] = set()
    for mention in well:
        end = mention.after
        while end < len(line) and line.kind(end) != "sym" and line.low(end) not in _JOINTS:
            end += 1
        places.update(range(mention.first, end))
    return frozenset(places)


def well_ones(line: Line, mentions: Sequence[Candidate]) -> list[Candidate]:
    """Those said to be in order; what is said of the last of "B and F" is said of both."""
    well: list[Candidate] = []
    for at in range(len(mentions) - 1, -1, -1):
        each = mentions[at]
        later = mentions[at + 1] if at + 1 < len(mentions) else None
        joined = later in well and later is not None and later.first == each.after + 1
        if _well(line, each) or (joined and line.low(each.after) in {"and", "&"}):
            well.append(each)
    return well


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


def _all_well(line: Line, mention: Candidate) -> bool:
    """ "F ran fine", "C has no such trouble", "D next to it flies", "K comes on straight away"."""
    end = mention.after
    while end < len(line) and end - mention.after < _CLAUSE:
        if line.kind(end) == "sym" or line.low(end) in _JOINTS:
            break
        end += 1
    said = [line.low(at) for at in range(mention.after, end)]
    pairs = set(pairwise(said))
    if said[:2] == ["next", "to"] or pairs & _EASILY:
        return True
    if set(said) & (WORDS.denials - {"is", "has", "does", "did", "again", "will", "always", "no"}):
        return False
    if any("no" in said[:at] for at, low in enumerate(said) if low in _TROUBLE):
        return True
    return bool(_WELL & set(said)) and not (WORDS.limits | {"no", "without"}) & set(said)


def _to_compare(line: Line, mention: Candidate) -> bool:
    """ "with the battery from C", "tested on D, too", "rounder than the one in F"."""
    if line.low(mention.first - 1) not in {"from", "on", "in", "of", "at", "to"}:
        return False
    before = mention.first - 2
    while before >= 0 and mention.first - before <= _CLAUSE and line.low(before) not in {".", "!"}:
        if line.low(before) in _TRIED:
            return line.low(before) != "with" or line.low(mention.first - 1) == "from"
        before -= 1
    return False


def _well(line: Line, mention: Candidate) -> bool:
    """True when the label is said to be in order, or to be another that was used to compare."""
    if _all_well(line, mention) or _to_compare(line, mention):
        return True
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
