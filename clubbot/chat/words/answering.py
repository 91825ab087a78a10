"""What people read about who answers for a team."""

from __future__ import annotations

from clubbot.chat.words.phrases import Reply, View, Wording, esc
from clubbot.rules.results import TeamAdult


def team_adult(result: TeamAdult, view: View) -> Reply:
    team = esc(result.team.name)
    if not result.adult:
        text = f"No adult answers for {team} now." if result.said else f"{team}: no adult is named."
        return Reply(
            f"{text} The session's adult is asked instead. Name one: /team {team} adult Sam"
        )
    text = f"{esc(result.adult)} answers for {team}"
    if result.said:
        return Reply(f"{text} from now on: asked about late kits, and told what changes.")
    return Reply(f"{text}. Another one: /team {team} adult and the name")


SAID: dict[type, Wording] = {TeamAdult: team_adult}
