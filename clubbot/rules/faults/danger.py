"""Whether a message speaks of something that can hurt: raised in doubt, but not by a saying."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from clubbot.rules.faults.clues import Word
from clubbot.rules.faults.symptoms import Symptom

_GAP = re.compile(r"\s?~(\d)")
_FRAGMENT = re.compile(r"\{([a-z]+)\}")
_SIGN_WORDS = (
    r"(?:hot|warm|swoll?en|swelling|bulging|bloated|puffy|leaking|leaks?|leaked|smok(?:e|ing|es)|"
    r"smell(?:s|ing|y)?|burn(?:t|ed|ing)?|sparks?|sparking|heat|overheating|flames?|fire|wet|hurt|"
    r"bleeding|fumes|frayed|boiling)"
)
_DENIED = re.compile(
    r"\b(?:no|not|none|isnt|wasnt|arent|werent|never|without|doesnt|didnt|dont|nothing|neither|nor|"
    r"no longer)(?: (?:at all|any|burn|very|too|that|so|really|even|a|get|got|is|was|feel|look|"
    r"been|bad|strange|unusual|weird|funny|actual|to be|seem|become|had|seems|be))*"
    rf" {_SIGN_WORDS}(?: ,)*(?:(?: (?:or|and|nor|no|not|any))+(?: any| no)* {_SIGN_WORDS}(?: ,)*)*"
    r"(?! (?:anymore|any more|now but|but was|yesterday|only))\b"
)


_STRETCH, _OVERLAP = 90, 25
"""Words that are looked at together: more than most messages have."""


@dataclass(frozen=True, slots=True)
class Danger:
    """`about` names the sign that raised it; `fire`: smoke or flames; `also`: the fault that the
    same words may report."""

    about: str
    fire: bool
    also: Symptom | None


@dataclass(frozen=True, slots=True)
class _Sign:
    about: str
    any: re.Pattern[str]
    needs: re.Pattern[str] | None
    unless: re.Pattern[str] | None
    bare: bool
    fire: bool
    also: Symptom | None


@dataclass(frozen=True, slots=True)
class _Signs:
    always: re.Pattern[str]
    general: re.Pattern[str]
    people: re.Pattern[str]
    boast: re.Pattern[str]
    slang: re.Pattern[str]
    hardware: re.Pattern[str]
    battery: re.Pattern[str]
    power: re.Pattern[str]
    glad: re.Pattern[str]
    signs: tuple[_Sign, ...]
    little: frozenset[str]


@lru_cache(maxsize=1)
def _signs() -> _Signs:
    path = files("clubbot.rules.faults").joinpath("danger.toml")
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    words: Mapping[str, str] = data["words"]

    def compiled(patterns: Sequence[str]) -> re.Pattern[str]:
        joined = "|".join(f"(?:{pattern})" for pattern in patterns)
        return re.compile(rf"(?<![\w-])(?:{_filled(joined, words)})(?![\w-])")

    def sign(row: Mapping[str, Any]) -> _Sign:
        needs, unless = row.get("needs"), row.get("unless")
        return _Sign(
            row["about"],
            compiled(row["any"]),
            compiled([needs]) if needs else None,
            compiled([unless]) if unless else None,
            row.get("bare", False),
            row.get("fire", False),
            Symptom(row["also"]) if "also" in row else None,
        )

    harmless = data["harmless"]
    return _Signs(
        compiled(harmless["always"]),
        compiled(harmless["general"]),
        compiled(harmless["people"]),
        compiled(harmless["boast"]),
        compiled(harmless["slang"]),
        compiled([words["hardware"]]),
        compiled([words["batt"]]),
        compiled([words["power"] + r"|smells?|smok\w+|burn\w*|help|flames?"]),
        compiled([words["glad"], words["lately"]]),
        tuple(sign(row) for row in data["signs"]),
        frozenset(data["little"].split()),
    )


def _filled(pattern: str, words: Mapping[str, str]) -> str:
    while _FRAGMENT.search(pattern):
        pattern = _FRAGMENT.sub(lambda found: words[found.group(1)], pattern)
    return _GAP.sub(lambda found: rf" (?:[\w-]+ ){{0,{found.group(1)}}}", pattern)


def find_danger(words: Sequence[Word]) -> Danger | None:
    """The first sign of danger in a message; None without any."""
    found = _found(words)
    if not found:
        return None
    also = next((sign.also for sign in found if sign.also), None)
    return Danger(found[0].about, any(sign.fire for sign in found), also)


def signs_of(words: Sequence[Word]) -> tuple[str, ...]:
    """What all the signs of danger in a message are about."""
    return tuple(dict.fromkeys(sign.about for sign in _found(words)))


def names_battery(words: Sequence[Word]) -> bool:
    """True when the message speaks of a battery by name."""
    return any(_signs().battery.search(text) for text in _stretches(words))


def _found(words: Sequence[Word]) -> list[_Sign]:
    signs = _signs()
    found: list[_Sign] = []
    for text in dict.fromkeys(_stretches(words)):
        left = _without_sayings(text, signs)
        found.extend(sign for sign in signs.signs if _shows(sign, left, signs.little))
    return found


def is_saying(words: Sequence[Word]) -> bool:
    """True when the message holds a saying, a denial or talk in general that sounds like danger."""
    said = dict.fromkeys(_stretches(words))
    return any(_without_sayings(text, _signs()) != text for text in said)


def _stretches(words: Sequence[Word]) -> Iterator[str]:
    """The text in overlapping stretches, so that the time it takes grows with its length only."""
    said = [word.low for word in words if word.low not in {".", ",", "!"}]
    for start in range(0, max(len(said) - _OVERLAP, 1), _STRETCH - _OVERLAP):
        yield " ".join(said[start : start + _STRETCH])


def _without_sayings(text: str, signs: _Signs) -> str:
    text = signs.always.sub(" - ", text)
    text = _DENIED.sub(" - ", text)
    text = signs.general.sub(" - ", text)
    powered = signs.power.search(text)
    if not signs.hardware.search(text):
        text = signs.people.sub(" - ", text)
    if not powered:
        text = signs.slang.sub(" - ", text)
        if signs.glad.search(text):
            text = signs.boast.sub(" - ", text)
    return re.sub(r"\s+", " ", text).strip()


def _shows(sign: _Sign, text: str, little: frozenset[str]) -> bool:
    if not sign.any.search(text):
        return False
    if sign.unless is not None and sign.unless.search(text):
        return False
    if sign.needs is None or sign.needs.search(text):
        return True
    return sign.bare and not set(sign.any.sub(" ", text).split()) - little
