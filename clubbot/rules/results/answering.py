"""What the desk answers about who answers for a team."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.results.shared import TeamRef


@dataclass(frozen=True, slots=True)
class TeamAdult:
    """The adult who answers for a team, empty where nobody does; `said` that it is so just now."""

    team: TeamRef
    adult: str
    said: bool
