"""What a message holds for weighing: its words, their notions, and how these stand together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from clubbot.rules.faults.lexicon import lexicon, stem
from clubbot.rules.faults.naming_places import Candidate
from clubbot.rules.faults.spelling import Line

KIT = "kit-"
_MOST_WEIGHED = 120
_NEGATION_REACH = 4
_CLAUSE_ENDS = frozenset({",", ".", "!", "?", ";", ":", "(", ")", "but", "and", "because", "so"})
_DEGREES = frozenset({"°", "º", "c", "deg", "degs", "degree", "degrees", "grad", "celsius"})
_HIGH = 45.0
"""Degrees that no battery at rest should have: charging ends at 40 (common practice, no source)."""
HIGH = "degrees-high"
"""Said of a number that may be such a temperature; it may be an angle as well."""
_RUN = re.compile(r"(.)\1{2,}")
_ANY_RUN = re.compile(r"(.)\1+")


@dataclass(frozen=True, slots=True)
class Word:
    """`low` is the word put right, `root` its stem; `clause` counts the parts of the message."""

    low: str
    root: str
    clause: int
    notions: tuple[str, ...] = ()


@lru_cache(maxsize=8192)
def put_right(low: str) -> str:
    """A word as it was meant: short forms, stretched letters and slips of the finger."""
    words = lexicon()
    if low in words.aliases:
        return words.aliases[low]
    if low in words.known or stem(low) in words.roots or not low.isalpha():
        return low
    shorter = _RUN.sub(r"\1\1", low)
    for form in (shorter, _ANY_RUN.sub(r"\1", shorter)):
        form = words.aliases.get(form, form)
        if form != low and (form in words.known or stem(form) in words.roots):
            return form
    return _nearest(shorter)


def _nearest(low: str) -> str:
    """The one known word a slip or two away, else the word itself."""
    if not 4 <= len(low) <= 14:
        return low
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    allowed = 1 if len(low) < 7 else 2
    near = process.extract(
        low, lexicon().correctable, scorer=OSA.distance, score_cutoff=allowed, limit=4
    )
    near = [hit for hit in near if hit[0][0] == low[0] or hit[1] == 1]
    near.sort(key=lambda hit: (hit[1], hit[0][0] != low[0], abs(len(hit[0]) - len(low))))
    return str(near[0][0]) if near else low


def words_of(
    line: Line, mentions: Sequence[Candidate], without: frozenset[int] = frozenset()
) -> tuple[Word, ...]:
    """The message's words with kits' labels taken out, and with their notions.

    The tokens at the places in `without` are left out.
    """
    plain = _plain_words(line, mentions, without)
    notions = [[*word.notions] for word in plain]
    found = lexicon()
    for at, word in enumerate(plain):
        notions[at].extend(found.notions.get(word.root, ()))
        for phrase, notion in found.phrases.get(word.root, ()):
            if _stands(plain, at, phrase):
                notions[at].append(notion)
    return tuple(
        Word(word.low, word.root, word.clause, tuple(dict.fromkeys(names)))
        for word, names in zip(plain, notions, strict=True)
    )


def _plain_words(line: Line, mentions: Sequence[Candidate], without: frozenset[int]) -> list[Word]:
    starts = {mention.first: mention for mention in mentions}
    words: list[Word] = []
    at = clause = 0
    while at < len(line):
        if at in without:
            at += 1
            continue
        mention = starts.get(at)
        if mention is not None:
            words.append(Word(KIT, KIT, clause))
            at = mention.after
            continue
        low = line.low(at)
        if low in _CLAUSE_ENDS:
            clause += 1
        words.extend(_written(line, at, clause))
        at += 1
    return words


def _written(line: Line, at: int, clause: int) -> list[Word]:
    low, kind = line.low(at), line.kind(at)
    if kind == "num":
        said = "100" if low == "100" else "number-"
        return [Word(said, "number-", clause, (HIGH,) if _is_high(line, at) else ())]
    if kind == "sym":
        meant = lexicon().pictures.get(line.raw(at), (low,) if low in "?!%." else ())
        return [Word(word, stem(word), clause) for word in meant]
    right = put_right(low)
    return [Word(right, stem(right), clause)]


def _is_high(line: Line, at: int) -> bool:
    number = line.low(at).replace(",", ".")
    unit, after = line.low(at + 1), line.low(at + 2)
    if not number.replace(".", "", 1).isdigit():
        return False
    if "f" in (unit, after if unit in _DEGREES else ""):
        return float(number) >= 32 + 1.8 * _HIGH
    return unit in _DEGREES and float(number) >= _HIGH


def _stands(words: Sequence[Word], at: int, phrase: tuple[str, ...]) -> bool:
    """True when the phrase begins here; "_" in it skips up to two words."""
    step = at
    gap = False
    for part in phrase:
        if part == "_":
            gap = True
            continue
        reach = 3 if gap else 1
        for skip in range(reach):
            if step + skip < len(words) and words[step + skip].root == part:
                step += skip + 1
                break
        else:
            return False
        gap = False
    return True


def clues_of(line: Line, words: Sequence[Word]) -> frozenset[str]:
    """Everything that the weights know about, each once."""
    clues: set[str] = set()
    words = words[:_MOST_WEIGHED]
    _add_words(clues, words)
    _add_notions(clues, words)
    _add_letters(clues, words)
    _add_manner(clues, line, words)
    return frozenset(clues)


def _strange(word: Word) -> bool:
    """True for a word that has nothing to do with kits, and isn't one of the smallest either."""
    return (
        not word.notions
        and word.low.isalpha()
        and len(word.low) > 2
        and word.low not in lexicon().small
    )


def _add_words(clues: set[str], words: Sequence[Word]) -> None:
    before = "<"
    for word in words:
        clues.add(f"w {word.root}")
        clues.add(f"b {before} {word.root}")
        before = word.root
    clues.add(f"b {before} >")


def _add_notions(clues: set[str], words: Sequence[Word]) -> None:
    clauses: dict[int, list[str]] = {}
    reach = -1
    clause = -1
    for at, word in enumerate(words):
        if word.clause != clause:
            clause, reach = word.clause, -1
        names = [f"not-{name}" for name in word.notions if name != "not" and at <= reach]
        names.extend(word.notions)
        if word.root in {KIT, "number-"}:
            names.append(word.root)
        clauses.setdefault(clause, []).extend(names)
        if "not" in word.notions:
            reach = at + _NEGATION_REACH
    for names in clauses.values():
        order = list(dict.fromkeys(names))[:16]
        clues.update(f"n {name}" for name in order)
        for at, first in enumerate(order):
            clues.update(f"p {first} {second}" for second in order[at + 1 :])
    everywhere = sorted({name for names in clauses.values() for name in names})[:24]
    for at, first in enumerate(everywhere):
        clues.update(f"m {first} {second}" for second in everywhere[at + 1 :])


def _add_letters(clues: set[str], words: Sequence[Word]) -> None:
    for word in words:
        if not word.low.isalpha() or len(word.low) < 4:
            continue
        framed = f"^{word.low}$"
        clues.update(f"g {framed[at : at + 4]}" for at in range(len(framed) - 3))


def _add_manner(clues: set[str], line: Line, words: Sequence[Word]) -> None:
    roots = [word.root for word in words]
    named = "named" if KIT in roots else "unnamed"
    clues.add(f"k {named}")
    strange = sum(_strange(word) for word in words)
    clues.add(f"k {named} strange {min(strange, 4)}")
    things = any(lexicon().things & set(word.notions) for word in words)
    clues.add(f"k {named} {'things' if things else 'nothing'} {min(strange, 2)}")
    if "?" in roots:
        clues.add("k asked")
    if line.shouted:
        clues.add("k shouted")
    length = len(words)
    clues.add(
        "k length " + next((str(top) for top in (1, 2, 3, 5, 8, 14) if length <= top), "more")
    )
    if roots:
        clues.add(f"k first {roots[0]}")
