"""The word lists of naming.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files

_MANY = frozenset(
    [
        "kits",
        "robots",
        "bots",
        "units",
        "machines",
        "trays",
        "sets",
        "boxes",
        "tablets",
        "tabs",
        "batteries",
    ]
)
_NO_KIT = frozenset(
    [
        "number",
        "numbers",
        "num",
        "nr",
        "no",
        "no.",
        "nbr",
        "#",
        "label",
        "named",
        "called",
        "is",
        ":",
        "-",
        "=",
        ".",
    ]
)


@dataclass(frozen=True, slots=True)
class NamingWords:
    """What may stand around a label, each a set of words in small letters."""

    kit: frozenset[str]
    kit_one: frozenset[str]
    between: frozenset[str]
    lead: frozenset[str]
    object_lead: frozenset[str]
    finite: frozenset[str]
    state: frozenset[str]
    equipment: frozenset[str]
    measure: frozenset[str]
    not_before: frozenset[str]
    not_before_number: frozenset[str]
    not_before_one: frozenset[str]
    not_before_letter: frozenset[str]
    slang: frozenset[str]
    texting: frozenset[str]
    after_verb: frozenset[str]
    counted_verbs: frozenset[str]
    going: frozenset[str]
    sending: frozenset[str]
    being: frozenset[str]
    shared: frozenset[str]
    asking: frozenset[str]
    chatting: frozenset[str]
    colour_verbs: frozenset[str]
    number_words: frozenset[str]
    after_object: frozenset[str]
    ranked: frozenset[str]
    mistaken: frozenset[str]
    units: frozenset[str]
    many: frozenset[str]
    limits: frozenset[str]
    colour_joins: frozenset[str]
    looking: frozenset[str]
    telling: frozenset[str]
    starters: frozenset[str]
    adverbs: frozenset[str]
    noun_like: frozenset[str]
    machine_verbs: frozenset[str]
    not_after_letter: frozenset[str]
    colours: frozenset[str]
    colour_before: frozenset[str]
    colour_after: frozenset[str]
    noun_after: frozenset[str]
    article: frozenset[str]
    pronoun_verbs: frozenset[str]
    owner_verbs: frozenset[str]
    doing: frozenset[str]
    fine: frozenset[str]
    calm: frozenset[str]
    lettered: frozenset[str]
    denials: frozenset[str]
    ports: frozenset[str]
    matters: frozenset[str]
    a_verbs: frozenset[str]
    plural_before: frozenset[str]
    plural_after: frozenset[str]
    ordinary: frozenset[str]


def _load() -> NamingWords:
    package = files("clubbot.rules.faults")
    lists = tomllib.loads(package.joinpath("naming.toml").read_text(encoding="utf-8"))
    sets = {name: frozenset(text.split()) for name, text in lists.items()}
    ordinary = package.joinpath("ordinary_words.txt").read_text(encoding="utf-8")
    sets["ordinary"] = frozenset(
        word for line in ordinary.splitlines() if not line.startswith("#") for word in line.split()
    )
    sets["kit_one"] = sets["kit"] - _MANY - _NO_KIT
    return NamingWords(**{name: sets[name] for name in NamingWords.__dataclass_fields__})


WORDS = _load()
