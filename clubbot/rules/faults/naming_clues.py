"""What stands around a place where a label is spelled, for weighing whether the kit is meant."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clubbot.rules.faults.clues import put_right
from clubbot.rules.faults.lexicon import lexicon, stem
from clubbot.rules.faults.naming_places import Candidate
from clubbot.rules.faults.naming_rules import lists
from clubbot.rules.faults.naming_words import WORDS, NamingWords
from clubbot.rules.faults.spelling import Line

_REACH = (-3, -2, -1, 1, 2, 3)
_NEAR = (-2, -1, 1, 2)
_ENDS = frozenset(".!?;\n")
_PARTS = frozenset([*_ENDS, ",", ":", "but", "and", "while", "so", "because", "(", ")", "-"])
_MOST_WORDS = 60
_PEOPLE = frozenset(["he", "she", "his", "her", "him", "hes", "shes", "mum", "mom", "dad"])
_SETS = tuple(name for name in NamingWords.__dataclass_fields__ if name != "ordinary")


@dataclass(frozen=True, slots=True)
class _Seen:
    """One message, each of its tokens as a root and the sets that the word is in."""

    roots: tuple[str, ...]
    sets: tuple[tuple[str, ...], ...]

    def root(self, at: int) -> str:
        return self.roots[at] if 0 <= at < len(self.roots) else "<" if at < 0 else ">"

    def groups(self, at: int) -> tuple[str, ...]:
        return self.sets[at] if 0 <= at < len(self.sets) else ()


@lru_cache(maxsize=1)
def sorts() -> dict[str, str]:
    """What kits are often named for: each such name's sort."""
    text = files("clubbot.rules.faults").joinpath("naming_sorts.toml").read_text(encoding="utf-8")
    return {name: sort for sort, names in tomllib.loads(text).items() for name in names.split()}


@lru_cache(maxsize=8192)
def _known(low: str) -> tuple[str, tuple[str, ...]]:
    """A word's root, and the short names of the lists and notions that it stands in."""
    root = stem(put_right(low))
    listed = [f"s{at}" for at, name in enumerate(_SETS) if low in getattr(WORDS, name)]
    ordinary = ["o"] if low in WORDS.ordinary else []
    return root, (*listed, *ordinary, *lexicon().notions.get(root, ()))


def clues_around(
    line: Line, candidates: Sequence[Candidate], ruled: frozenset[int], well: frozenset[int]
) -> Iterator[tuple[set[str], set[str]]]:
    """Each candidate's clues in turn: of whether it is meant, and of whether it is at fault.

    The latter are empty where no other kit is named.

    `ruled` has the first tokens of those that the rules take for kits, `well` of those that they
    take for kits in order.
    """
    seen = _look(line, candidates, ruled)
    everywhere = _everywhere(seen)
    listed = {each.first: among for among in lists(line, candidates) for each in among}
    for each in candidates:
        verdict = "w" if each.first in well else "y" if each.first in ruled else "n"
        kind = _kind(line, each)
        clues = _itself(line, each, kind, verdict)
        clues.extend(_beside(seen, each, kind, verdict))
        clues.extend(_in_clause(seen, each, kind))
        clues.extend(_others(candidates, each, ruled, kind))
        clues.extend(_in_list(listed[each.first], each, ruled, kind))
        clues.extend(everywhere)
        clues.extend(f"{kind} {clue}" for clue in everywhere)
        compared = set(_compared(line, seen, candidates, each, ruled, verdict))
        yield set(clues), compared


def _look(line: Line, candidates: Sequence[Candidate], ruled: frozenset[int]) -> _Seen:
    roots: list[str] = []
    sets: list[tuple[str, ...]] = []
    for token in line.tokens:
        if token.kind == "word":
            root, groups = _known(token.low)
        elif token.kind == "num":
            root, groups = "0", ("0",)
        else:
            meant = lexicon().pictures.get(token.raw)
            root, groups = (
                (meant[0] if meant else token.low),
                ("-" if token.raw.isascii() else "*",),
            )
        roots.append(root)
        sets.append(groups)
    for each in candidates:
        if each.first in ruled:
            roots[each.first] = "KIT"
            sets[each.first] = ("KIT",)
        elif line.kind(each.first) == "word" and len(line.raw(each.first)) > 1:
            sets[each.first] = (*sets[each.first], "kit?")
    return _Seen(tuple(roots), tuple(sets))


def _kind(line: Line, each: Candidate) -> str:
    low = line.low(each.first)
    if each.kind == "letter":
        return low[:1] if low[:1] in {"a", "i"} else "x" if low in WORDS.texting else "l"
    if each.kind == "number":
        if not low.isdecimal():
            return "1" if low == "one" else "w"
        return "0" if low.startswith("0") else "2" if len(low) > 1 else "9"
    if each.kind == "code":
        return "R"
    return sorts().get(each.label.lower(), "o" if low in WORDS.ordinary else "N")


def _itself(line: Line, each: Candidate, kind: str, verdict: str) -> list[str]:
    raw = line.raw(each.first)
    case = "s" if line.shouted else "u" if raw[:1].isupper() else "d"
    first = "^" if each.first == 0 else "." if line.raw(each.first - 1) in _ENDS else "-"
    after = each.after
    while line.kind(after) == "sym" and line.raw(after) in ".!?)]":
        after += 1
    ends = after >= len(line)
    last = "$" if ends else "." if line.raw(each.after) in _ENDS else "-"
    glued = ("g" if line.glued(each.first) else "") + ("G" if line.glued(each.after) else "")
    place = first + last
    return [
        f"K{kind}",
        f"V{verdict}",
        f"K{kind}{verdict}",
        f"K{kind}{verdict}{case}",
        f"K{kind}{case}",
        f"P{place}",
        f"P{kind}{place}",
        f"P{kind}{place}{verdict}",
        f"P{kind}{place}{case}",
        f"G{kind}{glued}",
        f"S{kind}{'s' if each.possessive else ''}{verdict}",
        f"I{line.low(each.first)}",
        f"I{line.low(each.first)}{case}",
        f"N{kind}{min(len(line), 9)}",
    ]


def _beside(seen: _Seen, each: Candidate, kind: str, verdict: str) -> Iterator[str]:
    places = {step: each.first + step if step < 0 else each.after + step - 1 for step in _REACH}
    roots = {step: seen.root(at) for step, at in places.items()}
    for step, at in places.items():
        yield f"{step}{roots[step]}"
        for group in seen.groups(at):
            yield f"{step}:{group}"
            yield f"{kind}{step}:{group}"
    for step in _NEAR:
        yield f"{kind}{step}{roots[step]}"
        yield f"{verdict}{step}{roots[step]}"
        for group in seen.groups(places[step]):
            yield f"{verdict}{step}:{group}"
    for one, two in ((-2, -1), (-1, 1), (1, 2)):
        yield f"{one}{roots[one]} {roots[two]}"
        yield f"{kind}{one}{roots[one]} {roots[two]}"
    for left in seen.groups(places[-1]) or ("",):
        for right in seen.groups(places[1]) or ("",):
            yield f"{kind}{left}|{right}"


def _in_clause(seen: _Seen, each: Candidate, kind: str) -> Iterator[str]:
    """The words of the same sentence, those before and those after."""
    things = strange = 0
    for step, name in ((-1, "B"), (1, "A")):
        at = each.first - 1 if step < 0 else each.after
        found: set[str] = set()
        while 0 <= at < len(seen.roots) and abs(at - each.first) < _MOST_WORDS:
            root = seen.roots[at]
            if root in _ENDS:
                break
            found.add(f"{name}{root}")
            groups = seen.sets[at]
            found.update(f"{name}:{group}" for group in groups)
            found.update(f"{kind}{name}:{group}" for group in groups)
            things += not lexicon().things.isdisjoint(groups)
            strange += _strange(root, groups)
            at += step
        yield from sorted(found)
    yield f"T{kind}{min(things, 2)}{min(strange, 4)}"
    yield f"T{min(things, 2)}{min(strange, 4)}"


def _compared(
    line: Line,
    seen: _Seen,
    candidates: Sequence[Candidate],
    each: Candidate,
    ruled: frozenset[int],
    verdict: str,
) -> Iterator[str]:
    """What is said of a kit where others are named as well, in its own part of the sentence."""
    others = [other for other in candidates if other.first in ruled and other.label != each.label]
    if not others:
        return
    start, end = _part(line, each)
    where = "f" if others[0].first > each.first else "l" if others[-1].first < each.first else "m"
    inside = [at for at in range(start, end) if not each.first <= at < each.after]
    bad = any(line.low(at) in WORDS.denials or "not" in seen.groups(at) for at in inside)
    well = any(line.low(at) in WORDS.fine for at in inside)
    beside = sum(start <= other.first < end for other in others)
    yield f"XV{verdict}"
    yield f"X{where}"
    yield f"X{where}{int(bad)}{int(well)}{min(beside, 2)}"
    yield f"X{int(bad)}{int(well)}"
    for at in inside:
        side = "<" if at < each.first else ">"
        yield f"X{side}{seen.roots[at]}"
        yield from (f"X{side}:{group}" for group in seen.sets[at])
    for step, at in ((-2, each.first - 2), (-1, each.first - 1), (1, each.after)):
        yield f"X{step}{seen.root(at)}"
        yield f"X{where}{step}{seen.root(at)}"
    yield f"X{seen.root(each.first - 2)} {seen.root(each.first - 1)}"
    yield f"X{seen.root(each.after)} {seen.root(each.after + 1)}"


def _part(line: Line, each: Candidate) -> tuple[int, int]:
    """The part of the sentence that a candidate stands in."""
    start, end = each.first, each.after
    while start > 0 and each.first - start < _MOST_WORDS and line.low(start - 1) not in _PARTS:
        start -= 1
    while end < min(len(line), each.after + _MOST_WORDS) and line.low(end) not in _PARTS:
        end += 1
    return start, end


def _strange(root: str, groups: tuple[str, ...]) -> bool:
    """True for a word that is found in no list."""
    return len(root) > 2 and not groups


def _others(
    candidates: Sequence[Candidate], each: Candidate, ruled: frozenset[int], kind: str
) -> Iterator[str]:
    """What is known of the other places: the same label or another, before it or behind."""
    before = after = maybe = 0
    same = "-"
    for other in candidates:
        if other.first == each.first:
            continue
        if other.first not in ruled:
            maybe += 1
        elif other.label == each.label:
            same = "="
        elif other.first < each.first:
            before += 1
        else:
            after += 1
    yield f"O{kind}{same}"
    yield f"O{min(before, 2)}{min(after, 2)}"
    yield f"O{kind}{min(before, 2)}{min(after, 2)}{same}"
    yield f"O{kind}?{min(maybe, 3)}"


def _in_list(
    among: Sequence[Candidate], each: Candidate, ruled: frozenset[int], kind: str
) -> Iterator[str]:
    """What is known of the others in the same list: "6a 6b 7a", "b n e"."""
    if len(among) == 1:
        return
    others = [other for other in among if other.first != each.first]
    taken = "y" if any(other.first in ruled for other in others) else "n"
    alike = "=" if all(other.kind == each.kind for other in others) else "-"
    yield f"J{taken}{alike}"
    yield f"J{kind}{taken}{alike}"
    yield f"J{kind}{taken}{alike}{min(len(among), 4)}"
    yield f"J{taken}{alike}{min(len(among), 4)}"


def _everywhere(seen: _Seen) -> list[str]:
    """What the whole message is about."""
    found = {f"W{root}" for root in seen.roots[:_MOST_WORDS]}
    found.update(f"W:{group}" for sets in seen.sets[:_MOST_WORDS] for group in sets)
    if _PEOPLE & set(seen.roots):
        found.add("W people")
    things = sum(not lexicon().things.isdisjoint(sets) for sets in seen.sets)
    strange = sum(map(_strange, seen.roots, seen.sets))
    found.update((f"WT{min(things, 2)}{min(strange, 5)}", f"WT{min(things, 2)}"))
    return sorted(found)
