"""The ways of telling: each piece as a pattern of kits, teams and words, and what it means.

In a pattern kits are K, a team is T, all of them is E, parts are P and other counts N.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import time

from clubbot.rules.faults import read_fault
from clubbot.rules.reading.afterwards_marks import Mark
from clubbot.rules.reading.afterwards_pieces import Happening, Piece, Told, fold

Meaning = Callable[[Piece, re.Match[str]], list[Told] | None]

_S = r"(?:E T|E|K T|K|T)"
_BUT = r"(?: (?:except|but|not|bar|without|minus|apart from|save)(?: for)? (K))?"
_WENT_OUT = r"(?:out|went out|given out|given|handed out|gone out|taken out|taken|started|left)"
_CAME_BACK = (
    r"(?:back|returned|back in|came back|in|home|put away|handed in|brought back|came in|"
    r"handed back|given back|taken back|all back|back safe|on (?:shelf|trolley))"
)
_NOT_BACK = (
    r"(?:still out|not back|not returned|not come back|never came back|never back|still not back|"
    r"not back yet|lost|stayed out|still away|still|not in|missing|still missing|nowhere)"
)
_FLAT = (
    r"(?:ran flat|flat|went flat|empty|ran empty|battery flat|flat battery|battery empty|"
    r"out of (?:battery|power|charge|juice)|ran out of (?:battery|power|charge|juice)|"
    r"ran out|battery (?:dead|died|ran out)|died flat|no battery|dead battery)"
)
_LENGTH = r"(?: (?:after|in) (?:N|half|an|about)(?: \w+){0,3})?"
_AT_START = r"(?: (?:from )?(?:start|beginning)| on arrival| to start with| before start)"
_INSTEAD = r"(?:for|instead of|instead|in place of|not|replaced|replaces|replacing|rather than)"
_FINE = (
    r"(?:E )?(?:fine|good|well|complete|no|yes|nothing (?:to report|missing|broken|else)|"
    r"no (?:faults|problems|trouble))?"
)
_LACKS = r"(?:short of|short by|short|missing|lacks|lacking|lost|without|minus|no|needs|-|down)"


def _each(piece: Piece, what: Happening, at: time | None) -> Told:
    every = " E " in f" {piece.pattern} " or not (piece.runs or piece.teams)
    kits = piece.runs[0] if piece.runs and not every else ()
    team = piece.teams[0] if piece.teams else ""
    return Told(what, piece.said, kits=kits, every=every and not team, team=team, at=at)


def _moved(what: Happening) -> Meaning:
    def meaning(piece: Piece, match: re.Match[str]) -> list[Told] | None:
        first = piece.times[0] if piece.times else None
        told = _each(piece, what, first)
        if not (told.kits or told.every or told.team):
            return None
        if match.re.groups and match[match.re.groups]:
            told = replace(told, but=piece.runs[-1])
        if what is Happening.OUT and len(piece.times) == 2:
            return [told, replace(told, what=Happening.BACK, at=piece.times[1])]
        return [told] if len(piece.times) < 2 else None

    return meaning


def _timed(what: Happening) -> Meaning:
    """A movement of nobody in particular is everybody's, where a time stands with it."""
    return lambda piece, match: _moved(what)(piece, match) if piece.times else None


def _flat(piece: Piece, match: re.Match[str]) -> list[Told]:
    told = _each(piece, Happening.FLAT, piece.times[0] if piece.times else None)
    timed = re.search(r"\bN (?:min|mins|minutes)\b", piece.pattern)
    return [replace(told, minutes=piece.counts[0] if timed and piece.counts else None)]


def _late(piece: Piece, match: re.Match[str]) -> list[Told]:
    what = Happening.BACK if piece.times else Happening.LATE
    return [_each(piece, what, piece.times[0] if piece.times else None)]


def _instead(piece: Piece, match: re.Match[str]) -> list[Told] | None:
    first, second = piece.runs[0], piece.runs[1]
    if match.groupdict().get("turned"):
        first, second = second, first
    if len(first) != len(second):
        return None
    at = piece.times[0] if piece.times else None
    team = piece.teams[0] if piece.teams else ""
    pairs = zip(first, second, strict=True)
    return [
        Told(Happening.INSTEAD, piece.said, kits=(went,), instead=stayed, team=team, at=at)
        for went, stayed in pairs
        if went != stayed
    ] or None


def _short(piece: Piece, match: re.Match[str]) -> list[Told] | None:
    if not piece.runs or not piece.parts:
        return None
    return [replace(_each(piece, Happening.SHORT, None), parts=piece.parts, team="")]


def _there_and_back(piece: Piece, match: re.Match[str]) -> list[Told] | None:
    if len(piece.times) != 2:
        return None
    return _moved(Happening.OUT)(piece, match)


def _first_time(piece: Piece, match: re.Match[str]) -> list[Told] | None:
    """ "A back 17:20, not 17:10": what is true stands first."""
    return _moved(Happening.BACK)(replace(piece, times=piece.times[:1]), match)


def _back_short(piece: Piece, match: re.Match[str]) -> list[Told] | None:
    back = _moved(Happening.BACK)(piece, match) or []
    return [*back, *(_short(piece, match) or [])] or None


def _not_so(piece: Piece, match: re.Match[str]) -> list[Told]:
    of = Happening.FLAT if match[1] in ("flat", "empty") else Happening.SHORT
    return [replace(_each(piece, Happening.NOT_SO, None), of=of)]


_WAYS: tuple[tuple[re.Pattern[str], Meaning], ...] = tuple(
    (re.compile(pattern), meaning)
    for pattern, meaning in (
        (rf"(?:still out|not back|not returned|missing|still missing) {_S}",
         _moved(Happening.STILL_OUT)),
        (rf"{_S} {_NOT_BACK}(?: with T| with them)?", _moved(Happening.STILL_OUT)),
        (r"K (?:went|gone|taken) home(?: with T)?", _moved(Happening.STILL_OUT)),
        (rf"{_S} (?:(?:N|bit|little|few|very) )?(?:min |mins |minutes )?(?:late|back late|"
         rf"came back late|late back|came late|returned late)", _late),
        (rf"(?:late|back late) {_S}", _late),
        (r"K (?:not used|unused|not out|not taken|stayed|stayed (?:in|on shelf)|not needed|"
         r"never (?:used|went out|left)|not go out)", _moved(Happening.UNUSED)),
        (rf"(?:{_S} )?(?:{_WENT_OUT} )?K {_INSTEAD} K(?: (?:to|for|with) T)?", _instead),
        (rf"(?:used|gave|took|give|swapped in) (?:T )?K {_INSTEAD} K(?: (?:to|for) T)?", _instead),
        (r"(?P<turned>(?:swapped|swap|changed|exchanged) K (?:for|with|by|to) K)(?: (?:to|for) T)?",
         _instead),
        (r"(?P<turned>K (?:swapped|replaced|changed|exchanged) (?:for|with|by) K)"
         r"(?: (?:to|for) T)?", _instead),
        (r"K (?:passed on|passed|moved|on|went|handed on|handed)? ?to T", _moved(Happening.PASSED)),
        (r"passed(?: on)? K (?:on )?to T", _moved(Happening.PASSED)),
        (rf"{_S} {_WENT_OUT}(?: (?:to|with|for) T)?{_BUT}", _moved(Happening.OUT)),
        (rf"(?:{_WENT_OUT}|gave(?: out)?|took(?: out)?) {_S}(?: (?:to|for|with) T)?{_BUT}",
         _moved(Happening.OUT)),
        (r"K (?:to|for|with) T|T (?:took|used) K|T K", _moved(Happening.OUT)),
        (rf"(?:{_S} )?{_WENT_OUT} {_CAME_BACK}", _there_and_back),
        (rf"{_WENT_OUT}|(?:E )?had (?:them|theirs|E)", _timed(Happening.OUT)),
        (rf"{_CAME_BACK}", _timed(Happening.BACK)),
        (rf"{_S} {_CAME_BACK} not", _first_time),
        (rf"K {_CAME_BACK}(?: with)? P (?:missing|short|gone|lost)|K {_CAME_BACK} (?:without|minus|"
         rf"short|missing) P", _back_short),
        (rf"{_S} {_CAME_BACK}{_BUT}", _moved(Happening.BACK)),
        (rf"(?:back|returned|took back|brought back|in) {_S}{_BUT}", _moved(Happening.BACK)),
        (r"K not (flat|empty|short|missing(?: \w+)*)", _not_so),
        (rf"K (?:found )?{_FLAT}{_AT_START}|K found (?:flat|empty)|found K (?:flat|empty)",
         _moved(Happening.FOUND_FLAT)),
        (rf"K {_FLAT}{_LENGTH}|(?:flat|empty) K", _flat),
        (rf"K {_LACKS} P|K P (?:short|missing|lost|gone)|"
         rf"P (?:missing|gone|lost|short)(?: (?:from|in|out of|on|for) K)|"
         rf"(?:lost|missing|short) P (?:from|in|of|out of|on) K|no P in K", _short),
    )
)  # fmt: skip

_SWAPPED_IT = (
    r"(?:so )?(?:(?:swapped|replaced|changed)(?: it)? (?:for|with|by) K|"
    r"(?:took|used) K(?: instead)?|K instead)"
)
_LEANS: dict[Happening, str] = {
    Happening.OUT: "out",
    Happening.BACK: "back",
    Happening.FLAT: "flat",
    Happening.SHORT: "short",
    Happening.LATE: "late",
    Happening.STILL_OUT: "still out",
    Happening.UNUSED: "not used",
}


def understand(
    piece: Sequence[Mark], said: str, before: Told | None, labels: Sequence[str]
) -> list[Told] | None:
    """Return what one piece tells; nothing new where it names only the day, None if unreadable."""
    words = fold(piece, said)
    if not words.times and re.fullmatch(_FINE, words.pattern):
        return []
    found = _meant(words)
    if found is None:
        found = _leaning(words, before)
    if found is None:
        righted = [_put_right(mark) for mark in piece]
        found = _meant(fold(righted, said)) if righted != list(piece) else None
    return found or _fault(words, said, labels)


def _meant(piece: Piece) -> list[Told] | None:
    for pattern, meaning in _WAYS:
        match = pattern.fullmatch(piece.pattern)
        if match and (found := meaning(piece, match)) is not None:
            return found
    if re.fullmatch(r"K|T|E", piece.pattern) and len(piece.times) == 2:
        match = re.fullmatch(r"(x)?.*", piece.pattern)
        return _moved(Happening.OUT)(piece, match) if match else None
    return None


def _leaning(piece: Piece, before: Told | None) -> list[Told] | None:
    """Read "B 17:20" after "A back 17:10", and "C 2 cables" after "B short 1 cable"."""
    if before is None:
        return None
    timed = bool(piece.times) == (before.at is not None)
    also = re.fullmatch(r"K(?: (?:same|as well|likewise))?", piece.pattern)
    if also and timed and before.what in _LEANS and before.what is not Happening.SHORT:
        return _meant(replace(piece, pattern=f"K {_LEANS[before.what]}"))
    if len(before.kits) == 1 and re.fullmatch(_SWAPPED_IT, piece.pattern) and len(piece.runs) == 1:
        at = piece.times[0] if piece.times else None
        went = Told(Happening.INSTEAD, piece.said, piece.runs[0], instead=before.kits[0], at=at)
        return [went] if went.kits != before.kits else None
    if before.what is Happening.SHORT and piece.pattern == "K P":
        return _meant(replace(piece, pattern="K short P"))
    if before.what is Happening.SHORT and piece.pattern == "P" and piece.parts:
        return [replace(before, parts=piece.parts, said=piece.said)]
    return None


def _fault(piece: Piece, said: str, labels: Sequence[str]) -> list[Told] | None:
    reading = read_fault(said, labels)
    kits = tuple(dict.fromkeys(label for run in piece.runs for label in run))
    if not reading.fault or not kits:
        return None
    at = piece.times[0] if piece.times else None
    named = tuple(label for label in reading.kits if label in kits) or kits
    symptom = reading.symptom or "unclear"
    return [Told(Happening.FAULT, said, kits=named, at=at, symptom=symptom)]


_SLIPS = ("back", "flat", "late", "still", "short", "missing", "returned", "instead", "empty")


def _put_right(mark: Mark) -> Mark:
    """Put a slip in one of the words that matter right: "bakc", "misssing"."""
    if mark.kind != "word" or len(mark.text) < 4 or mark.text in _SLIPS:
        return mark
    from rapidfuzz.distance import OSA

    near = [each for each in _SLIPS if OSA.distance(mark.text, each) == 1]
    return replace(mark, text=near[0]) if len(near) == 1 else mark
