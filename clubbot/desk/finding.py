"""What a short text names: kits by label, a team by name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from clubbot.rules.availability import ResourceId
from clubbot.rules.model import KitId, Reason, Refused, TeamId
from clubbot.rules.reading import read_labels
from clubbot.rules.results import TeamRef
from clubbot.store.kits import KitNow

_ALL = re.compile(r"\b(all|every(thing|one)?)\b", re.IGNORECASE)
_BUT = re.compile(
    r"\b(?:except(?:\s+for)?|apart\s+from|other\s+than|(?:and|but)\s+not|but|not|without)\b",
    re.IGNORECASE,
)

_NUMBERS = re.compile(
    r"\W*(?:(?:kits?|units?)\s*)?\d{1,4}(?:(?:[\s,;&+-]|\band\b|\bto\b)+\d{1,4})*\W*", re.IGNORECASE
)
_SPAN = re.compile(r"(\d{1,4})(?:\s*(?:-|\bto\b)\s*(\d{1,4}))?", re.IGNORECASE)


class Named(NamedTuple):
    """The kits, in the order named, and the team that a text speaks of; `all` where it says so.

    `but` are the kits that it leaves out ("all except D").
    """

    kits: tuple[KitNow, ...]
    team: TeamRef | None
    all: bool
    but: tuple[KitNow, ...] = ()

    def among(self, known: Iterable[KitNow]) -> tuple[KitNow, ...]:
        """Return those of some kits that "all" means."""
        return tuple(now for now in known if now not in self.but)


def named(
    text: str,
    known: Mapping[KitId, KitNow],
    teams: Mapping[TeamId, TeamRef],
    *,
    but: bool = False,
) -> Named | Refused:
    """Find kits and a team in what follows a command, such as "D F for Red".

    `but`: the caller minds `Named.but`; for others "all except D" names no kit.
    """
    team, rest = find_team(text, teams)
    by_label = {now.kit.label: now for now in known.values()}
    whole = _exact(rest, by_label)
    if whole is not None:
        return Named((whole,), team, all=False)
    rest, without = _left_out(rest, list(by_label))
    if isinstance(without, str):
        return Refused(Reason.UNKNOWN_KIT, {"word": without})
    found, unknown = by_number(rest, list(by_label)) or read_labels(
        f"kit {rest}" if rest else "", list(by_label)
    )
    if unknown:
        return Refused(Reason.UNKNOWN_KIT, {"word": unknown[0]})
    everything = bool(_ALL.search(rest)) and not found
    if rest and not found and not everything:
        return Refused(Reason.UNKNOWN_KIT, {"word": rest})
    meant = tuple(by_label[label] for label in dict.fromkeys(found) if label not in without)
    if without and not meant and not but:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return Named(meant, team, everything, tuple(by_label[label] for label in without))


def by_number(text: str, labels: Sequence[str]) -> tuple[list[str], list[str]] | None:
    """Read a list of nothing but numbers, "3 4 5" or "6-10", where kits are numbered.

    Returns the labels and the numbers that are none, so that none is lost; None for other texts.
    """
    ordered = {int(label): label for label in labels if label.isdecimal()}
    if not ordered or not _NUMBERS.fullmatch(text):
        return None
    found: dict[str, None] = {}
    unknown: dict[str, None] = {}
    for each in _SPAN.finditer(text):
        ends = [each[1], each[2] or each[1]]
        unknown.update(dict.fromkeys(end for end in ends if int(end) not in ordered))
        low, high = sorted(int(end) for end in ends)
        span = (label for number, label in sorted(ordered.items()) if low <= number <= high)
        found.update(dict.fromkeys(span))
    return list(found), list(unknown)


def _left_out(text: str, labels: Sequence[str]) -> tuple[str, list[str] | str]:
    """Part a text from the labels that it leaves out; a word in place of these is no kit's."""
    said = _BUT.search(text)
    if said is None:
        return text, []
    before, after = text[: said.start()].strip(" ,;"), text[said.end() :].strip()
    found, unknown = read_labels(f"kit {after}", labels)
    if found and not unknown:
        return before, found
    everything = _ALL.search(before) and not read_labels(f"kit {before}", labels)[0]
    return (before, unknown[0] if unknown else after) if everything else (text, [])


def _exact(text: str, by_label: Mapping[str, KitNow]) -> KitNow | None:
    wanted = text.strip().casefold()
    return next((now for label, now in by_label.items() if label.casefold() == wanted), None)


def find_team(text: str, teams: Mapping[TeamId, TeamRef]) -> tuple[TeamRef | None, str]:
    """Return the team that a text names, the longest name first, and the text without it."""
    for team in sorted(teams.values(), key=lambda ref: len(ref.name), reverse=True):
        words = re.escape(team.name)
        match = re.search(
            rf"(?:\b(?:for|to)\s+(?:the\s+)?)?(?<!\w){words}(?!\w)", text, re.IGNORECASE
        )
        if match:
            return team, (text[: match.start()] + " " + text[match.end() :]).strip()
    return None, text.strip()


def find_giver(text: str, teams: Mapping[TeamId, TeamRef]) -> tuple[TeamRef | None, str]:
    """Return the first of two teams that a text names ("Red to Blue"), and the text without it."""
    second, rest = find_team(text, teams)
    first, _ = find_team(rest, teams)
    if first is None or second is None:
        return None, text
    at = {each.id: text.lower().find(each.name.lower()) for each in (first, second)}
    giver = min((first, second), key=lambda each: at[each.id])
    start = at[giver.id]
    return giver, f"{text[:start]} {text[start + len(giver.name) :]}".strip()


_COUNT_WORDS = {"a": 1, "an": 1, "the": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}


def find_resources(
    text: str, known: Mapping[ResourceId, tuple[str, int]]
) -> tuple[dict[ResourceId, int], str]:
    """Return what a text wants along with the kits ("and 2 mats"), and the text without it."""
    wanted: dict[ResourceId, int] = {}
    for which, (name, _) in sorted(known.items(), key=lambda each: -len(each[1][0])):
        stem = re.escape(name[:-1] if name.lower().endswith("s") else name)
        counted = rf"(?:(\d{{1,3}}|{'|'.join(_COUNT_WORDS)})\s+)?{stem}(?:e?s)?(?!\w)"
        match = re.search(
            rf"(?:\s*(?:,|&|\+|\band\b|\bwith\b|\bplus\b))?\s*(?<!\w){counted}", text, re.IGNORECASE
        )
        if match:
            said = (match[1] or "1").lower()
            wanted[which] = _COUNT_WORDS.get(said) or int(said)
            text = f"{text[: match.start()]} {text[match.end() :]}"
    return {which: number for which, number in wanted.items() if number}, " ".join(text.split())
