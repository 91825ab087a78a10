"""What the desk answers about who answers for a team, and whom to go to."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.results.shared import TeamRef


@dataclass(frozen=True, slots=True)
class TeamAdult:
    """The adult who answers for a team, empty where nobody does; `said` that it is so just now."""

    team: TeamRef
    adult: str
    said: bool


@dataclass(frozen=True, slots=True)
class TalkToSomebody:
    """Somebody who was asked which kit it is needs a person; the question stands."""
