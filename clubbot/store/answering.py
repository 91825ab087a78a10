"""Which adult answers for which team."""

from __future__ import annotations

from collections.abc import Mapping

import sqlalchemy as sa

from clubbot.rules.model import ClubId, PersonId, Role, TeamId
from clubbot.store.engine import Tx
from clubbot.store.remembering import remembered
from clubbot.store.tables import PERSON, TEAM


@remembered(TEAM, PERSON)
def team_adults(tx: Tx, number: ClubId) -> Mapping[TeamId, PersonId]:
    """Return the adult of each team that has one of its own; who is no adult now is none."""
    theirs = sa.and_(PERSON.c.club_id == TEAM.c.club_id, PERSON.c.id == TEAM.c.adult_id)
    wanted = sa.select(TEAM.c.id, TEAM.c.adult_id, PERSON.c.role).join_from(TEAM, PERSON, theirs)
    rows = tx.execute(wanted.where(TEAM.c.club_id == number, PERSON.c.left_at.is_(None)))
    return {TeamId(row.id): PersonId(row.adult_id) for row in rows if Role(row.role).adult}


def set_team_adult(tx: Tx, number: ClubId, team: TeamId, adult: PersonId | None) -> None:
    """Say which adult answers for a team, or that none does."""
    mine = sa.and_(TEAM.c.club_id == number, TEAM.c.id == team)
    tx.execute(sa.update(TEAM).where(mine).values(adult_id=adult))
