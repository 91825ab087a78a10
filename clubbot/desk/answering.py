"""Which adult answers for a team: who is asked when its kits are late, and hears what changes."""

from __future__ import annotations

import re

from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import find_team
from clubbot.rules.model import PersonId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import TeamAdult
from clubbot.store import answering, clubs, people
from clubbot.store.engine import Tx

_ADULT = re.compile(r"\s*(?:adult|leader)?\s*:?\s*(.*)", re.IGNORECASE | re.DOTALL)
_NOBODY = frozenset({"nobody", "none", "off", "-"})


@deed(Deed.SET_UP)
def team_adult(tx: Tx, who: Who, text: str) -> TeamAdult | Refused:
    """Say which adult answers for a team ("Red adult Owen", "Red adult nobody"); or show it."""
    team, rest = find_team(text, clubs.teams(tx, who.club))
    if team is None:
        word = text.split()[0] if text.split() else ""
        if not word:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "team"})
        return Refused(Reason.UNKNOWN_TEAM, {"word": word})
    rows = people.people(tx, who.club)
    match = _ADULT.fullmatch(rest)
    wanted = match[1].strip().casefold() if match else ""
    if not wanted:
        adult = answering.team_adults(tx, who.club).get(team.id)
        name = next((row.name for row in rows if row.id == adult), "")
        return TeamAdult(team, name, said=False)
    chosen: PersonId | None = None
    name = ""
    if wanted not in _NOBODY:
        found = [row for row in rows if row.name.casefold() == wanted]
        found = found or [row for row in rows if row.name.casefold().startswith(wanted)]
        if len(found) != 1:
            return Refused(Reason.UNKNOWN_PERSON)
        if not found[0].role.adult:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "adult"})
        chosen, name = found[0].id, found[0].name
    answering.set_team_adult(tx, who.club, team.id, chosen)
    return TeamAdult(team, name, said=True)
