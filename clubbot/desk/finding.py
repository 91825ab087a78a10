"""What a short text names: kits by label, a team by name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from clubbot.rules.model import KitId, Reason, Refused, TeamId
from clubbot.rules.reading import read_labels
from clubbot.rules.results import TeamRef
from clubbot.store.kits import KitNow

_ALL = re.compile(r"\b(all|every(thing|one)?)\b", re.IGNORECASE)


class Named(NamedTuple):
    """The kits, in the order named, and the team that a text speaks of; `all` where it says so."""

    kits: tuple[KitNow, ...]
    team: TeamRef | None
    all: bool


def named(
    text: str, known: Mapping[KitId, KitNow], teams: Mapping[TeamId, TeamRef]
) -> Named | Refused:
    """Find kits and a team in what follows a command, such as "D F for Red"."""
    team, rest = find_team(text, teams)
    by_label = {now.kit.label: now for now in known.values()}
    whole = _exact(rest, by_label)
    if whole is not None:
        return Named((whole,), team, all=False)
    found, unknown = read_labels(f"kit {rest}" if rest else "", list(by_label))
    if unknown:
        return Refused(Reason.UNKNOWN_KIT, {"word": unknown[0]})
    everything = bool(_ALL.search(rest)) and not found
    if rest and not found and not everything:
        return Refused(Reason.UNKNOWN_KIT, {"word": rest})
    return Named(tuple(by_label[label] for label in dict.fromkeys(found)), team, everything)


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
