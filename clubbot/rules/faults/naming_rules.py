"""What the rules say of each place where a label is spelled: whether the kit is meant.

A and I are also words, a number may count something, Bolt or Red may be a part or a colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from clubbot.rules.faults.naming_colours import colour_is_label
from clubbot.rules.faults.naming_letters import letter_is_label
from clubbot.rules.faults.naming_numbers import number_is_label
from clubbot.rules.faults.naming_places import Candidate
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_SEPARATORS = frozenset({"and", "&", "+", "/", ",", "n", "or", "plus", "und", "et", "y", "also"})
_ROW = 3
"""Two may be a kit and a number of things: "kit 4 2 wheels gone"."""


def ruled(line: Line, candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates that the rules take for kits."""
    found: list[Candidate] = []
    for group in lists(line, candidates):
        found.extend(each for each in _meant(line, group) if not found or not _counted(line, each))
    return found


def _counted(line: Line, mention: Candidate) -> bool:
    """ "7: 2 motor missing", where the kit has been named and a number counts a thing."""
    lone = mention.kind == "number" and not mention.possessive
    after_sign = line.low(mention.first - 1) in {":", ",", "-"}
    return lone and after_sign and line.low(mention.after) in WORDS.equipment


def lists(line: Line, candidates: Sequence[Candidate]) -> list[list[Candidate]]:
    """Candidates that stand in one list: "D, F and robot G", "7 9 12"."""
    groups: list[list[Candidate]] = []
    for at, candidate in enumerate(candidates):
        joined = groups and _joined(line, groups[-1][-1].after, candidate.first)
        if joined or (groups and _in_a_row(candidates, at)):
            groups[-1].append(candidate)
        else:
            groups.append([candidate])
    return groups


def _in_a_row(candidates: Sequence[Candidate], at: int) -> bool:
    """Say whether one follows straight on another, as one of three at least of a kind."""
    rows = (candidates[start : start + _ROW] for start in range(max(0, at - _ROW + 1), at))
    return any(
        len(row) == _ROW
        and len({each.kind for each in row}) == 1
        and all(one.after == two.first for one, two in pairwise(row))
        for row in rows
    )


def _joined(line: Line, left: int, right: int) -> bool:
    between = [line.low(at) for at in range(left, right)]
    if not between or len(between) > 4 or between[0] not in _SEPARATORS:
        return False
    return all(word in _SEPARATORS or word in WORDS.kit or word == "the" for word in between)


def _meant(line: Line, group: list[Candidate]) -> list[Candidate]:
    """The candidates of a list that are labels: all of them where one surely is."""
    sure = [_is_label(line, each, group) for each in group]
    if len(group) == 1:
        return group if sure[0] else []
    same = {each.kind for each in group}
    if any(sure) and len(same) == 1:
        return group
    return [each for each, yes in zip(group, sure, strict=True) if yes]


def _is_label(line: Line, candidate: Candidate, group: list[Candidate]) -> bool:
    if candidate.kind == "code" or _after_kit_word(line, candidate):
        return not _counts_down(line, candidate)
    before = line.low(candidate.first - 1)
    if before in {"to", "-", "until"} and line.low(candidate.first - 3) in WORDS.many:
        return True
    left, right = group[0].first, group[-1].after
    if _another_port(line, candidate):
        return False
    if candidate.kind == "letter":
        return letter_is_label(line, candidate.first, left, right, candidate.possessive)
    if candidate.kind == "number":
        return number_is_label(line, candidate.first, left, right, candidate.possessive)
    return _word_is_label(line, candidate)


def _another_port(line: Line, candidate: Candidate) -> bool:
    """ "works in port A, not in B": once a port has been named, a mark beside it is one, too."""
    at = candidate.first
    if candidate.possessive or candidate.kind not in {"letter", "number"}:
        return False
    named = any(
        line.low(place) in WORDS.ports and len(line.raw(place + 1)) == 1 for place in range(at - 1)
    )
    before = line.low(at - 1)
    return named and before not in WORDS.object_lead - {"in", "to", "into"}


def _counts_down(line: Line, candidate: Candidate) -> bool:
    """ "tablet 2 hours", "box a", "set 3 pieces": no label after all."""
    if candidate.kind == "number":
        if line.low(candidate.first - 1) in {"number", "no"}:
            ranked = line.low(candidate.first - 2) in WORDS.ranked
            if ranked and line.low(candidate.after) not in WORDS.finite:
                return True
        return line.low(candidate.after) in WORDS.units and not candidate.possessive
    single = candidate.kind == "letter" and line.raw(candidate.first) in {"a", "I", "i"}
    if not single or candidate.possessive:
        return False
    before, after = line.low(candidate.first - 1), line.low(candidate.after)
    if line.raw(candidate.first) == "a":
        return after == "bit" or not (
            after in WORDS.finite or line.kind(candidate.after) in {"", "sym"}
        )
    doing = after == "was" and line.low(candidate.after + 1) in WORDS.doing
    return before not in WORDS.kit_one or after in WORDS.owner_verbs or doing


def _after_kit_word(line: Line, candidate: Candidate) -> bool:
    at = candidate.first - 1
    steps = 0
    while line.low(at) in WORDS.between and steps < 3:
        if line.low(at) in {"number", "num", "nr", "nbr", "#"}:
            return True
        at, steps = at - 1, steps + 1
    if line.low(at) == "is":
        return False
    if line.low(at) in {"box", "boxes", "set"} and line.low(at - 1) == "in":
        return False
    linked = steps and line.low(candidate.first - 1) in {"is", "=", "-", "."}
    return line.low(at) in WORDS.kit and not linked


def _word_is_label(line: Line, candidate: Candidate) -> bool:
    """A named kit, and not the thing or the colour that it is named for."""
    at, after = candidate.first, candidate.after
    if candidate.possessive and "'" not in line.raw(after - 1):
        several = line.low(at - 1) in WORDS.plural_before or line.low(after) in WORDS.plural_after
        return line.kind(after) == "word" and not several
    if candidate.possessive:
        return True
    low = line.low(at)
    if after - at > 1:
        return True
    before, behind = line.low(at - 1), line.low(after)
    proper = line.raw(at)[0].isupper() and not line.shouted and at > 0
    if before == "dead" and line.low(at - 2) in WORDS.article:
        return False
    if behind in WORDS.kit_one:
        return True
    if low in WORDS.colours:
        return colour_is_label(line, at, after)
    if behind in WORDS.noun_after:
        return False
    return proper or before not in WORDS.article
