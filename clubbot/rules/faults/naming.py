"""Which of the club's kits a message about a fault names.

Labels may be letters, numbers, letters with numbers, or words. A and I are also words, a number
may count something, Bolt or Red may be a part or a colour: what stands around decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from clubbot.rules.faults.names import Names, prepare
from clubbot.rules.faults.naming_colours import colour_is_label
from clubbot.rules.faults.naming_letters import letter_is_label
from clubbot.rules.faults.naming_numbers import number_is_label
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_SEPARATORS = frozenset({"and", "&", "+", "/", ",", "n", "or", "plus", "und", "et", "y", "also"})
_FEWEST_LETTERS_FOR_A_SLIP = 4


@dataclass(frozen=True, slots=True)
class Candidate:
    """Tokens [first, after) that spell a label; `possessive`: "D's", "7s tablet"."""

    label: str
    kind: str
    first: int
    after: int
    possessive: bool
    listed: bool = False
    """True where a list of labels goes on, so that less has to speak for it."""


def find_mentions(line: Line, labels: Sequence[str]) -> tuple[Candidate, ...]:
    """The places where labels are meant, in the order of the text."""
    names = prepare(tuple(labels))
    found: list[Candidate] = []
    for group in _groups(line, _candidates(line, names)):
        found.extend(each for each in _meant(line, group) if not found or not _counted(line, each))
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
    """ "A to D are to be charged", "everything from D to G"; not "connect A to D"."""
    before, earlier = line.low(first.first - 1), line.low(first.first - 2)
    if before == "from":
        return earlier in {"everything", "all", "everyone"}
    leads = first.first == 0 or before in {":", ".", "like", "book", "reserve"}
    return first.kind == last.kind == "letter" and leads


def _counted(line: Line, mention: Candidate) -> bool:
    """ "7: 2 motor missing", where the kit has been named and a number counts a thing."""
    lone = mention.kind == "number" and not mention.possessive
    after_sign = line.low(mention.first - 1) in {":", ",", "-"}
    return lone and after_sign and line.low(mention.after) in WORDS.equipment


def _candidates(line: Line, names: Names) -> list[Candidate]:
    found: list[Candidate] = []
    at = 0
    while at < len(line):
        candidate = _candidate(line, names, at)
        if candidate is not None:
            found.append(candidate)
        at = candidate.after if candidate is not None else at + 1
    return found


def _candidate(line: Line, names: Names, at: int) -> Candidate | None:
    for size in range(min(names.longest, len(line) - at), 0, -1):
        words = [line.raw(at + step).lower() for step in range(size)]
        last, possessive = _without_s(line.raw(at + size - 1), size == 1)
        label = names.by_parts.get(tuple(words))
        if label is None and possessive:
            label = names.by_parts.get((*words[:-1], last))
        elif label is not None:
            possessive = False
        if label is None or not _free_standing(line, at, at + size):
            continue
        kind = names.kinds[label] if size == 1 else "code"
        if size == 1 and (line.kind(at) == "num" or words[0] in names.number_words):
            kind = "number"
        after = _after_apostrophe(line, at + size)
        return Candidate(label, kind, at, after, possessive or after > at + size)
    return (
        _number_after_kit_word(line, names, at)
        or _letter_on_kit_word(line, names, at)
        or _slip(line, names, at)
    )


def _without_s(raw: str, alone: bool) -> tuple[str, bool]:
    """A word without its possessive ending, typed or not: "D's", "Hs", "rustys"."""
    low = raw.lower()
    if low.endswith(("'s", "s'")):
        return low[:-2] if low.endswith("'s") else low[:-1], True
    if low.endswith("s") and (len(low) > 3 or (len(low) == 2 and alone and raw[0].isupper())):
        return low[:-1], low not in {"as", "is", "us", "ones"}
    return low, False


def _after_apostrophe(line: Line, at: int) -> int:
    """The token after "3's" or "3s", which is cut into several."""
    if line.raw(at) == "'" and line.low(at + 1) == "s" and line.glued(at + 1):
        return at + 2
    glued_s = line.low(at) == "s" and line.glued(at) and line.kind(at - 1) == "num"
    return at + 1 if glued_s and line.low(at + 1) in WORDS.equipment else at


def _free_standing(line: Line, at: int, after: int) -> bool:
    """False where a label is a piece of something longer, such as 5p, 2A or D-day."""
    alnum = {"num", "word"}
    if line.glued(at) and line.kind(at - 1) in alnum and line.low(at - 1) not in WORDS.kit:
        return False
    if line.glued(at) and line.low(at - 1) == "-" and line.glued(at - 1):
        left = line.low(at - 2)
        return left in WORDS.kit or len(left) < 3
    apostrophe = _after_apostrophe(line, after)
    if apostrophe > after:
        return True
    return not (line.glued(after) and line.kind(after) in alnum)


def _number_after_kit_word(line: Line, names: Names, at: int) -> Candidate | None:
    """ "robot 3" where the club says R3."""
    label = names.by_number.get(line.low(at).lstrip("0"))
    if label is None or line.kind(at) != "num" or line.low(at - 1) not in WORDS.kit:
        return None
    if line.low(at + 1) in WORDS.measure:
        return None
    return Candidate(label, "code", at, at + 1, False)


def _letter_on_kit_word(line: Line, names: Names, at: int) -> Candidate | None:
    """ "kitD", "unitD"."""
    raw = line.raw(at)
    label = names.by_parts.get((raw[-1:].lower(),))
    if label is None or not raw[-1:].isupper() or raw[:-1].lower() not in WORDS.kit_one:
        return None
    return Candidate(label, "code", at, at + 1, False)


def _slip(line: Line, names: Names, at: int) -> Candidate | None:
    """The one label a slip or two away, for words long enough to tell."""
    low, _ = _without_s(line.raw(at), False)
    if line.kind(at) != "word" or len(low) < _FEWEST_LETTERS_FOR_A_SLIP or not names.long_words:
        return None
    if low in WORDS.ordinary or line.low(at) in WORDS.ordinary:
        return None
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    allowed = 1 if len(low) < 7 else 2
    near = process.extract(
        low, names.long_words, scorer=OSA.distance, score_cutoff=allowed, limit=2
    )
    near = [hit for hit in near if hit[0][0] == low[0] or line.raw(at)[0].isupper()]
    if len(near) != 1:
        return None
    return Candidate(names.by_parts[(near[0][0],)], "word", at, at + 1, False)


def _groups(line: Line, candidates: list[Candidate]) -> list[list[Candidate]]:
    """Candidates that stand in one list: "D, F and robot G"."""
    groups: list[list[Candidate]] = []
    for candidate in candidates:
        if groups and _joined(line, groups[-1][-1].after, candidate.first):
            groups[-1].append(candidate)
        else:
            groups.append([candidate])
    return groups


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
