"""Adults who are away, and who acts for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

import sqlalchemy as sa

from clubbot.rules.absence import Absence
from clubbot.rules.model import ClubId, PersonId, Role
from clubbot.store.engine import Tx, inserting
from clubbot.store.remembering import remembered
from clubbot.store.tables import ABSENCE, NOTICE, PERSON

KEPT = timedelta(days=60)
"""How long an absence that is over still says whom what was due then went to."""


@remembered(ABSENCE, PERSON)
def absences(tx: Tx, club: ClubId) -> Sequence[Absence]:
    """Return the absences of adults who are in the club, the first first."""
    acting = PERSON.alias()
    found = (
        sa.select(ABSENCE)
        .join_from(
            ABSENCE,
            acting,
            sa.and_(acting.c.club_id == ABSENCE.c.club_id, acting.c.id == ABSENCE.c.acting_id),
        )
        .where(
            ABSENCE.c.club_id == club,
            acting.c.left_at.is_(None),
            acting.c.role.in_([role.value for role in Role if role.adult]),
        )
        .order_by(ABSENCE.c.starts_at, ABSENCE.c.id)
    )
    return tuple(
        Absence(row.person_id, row.acting_id, row.starts_at, row.ends_at)
        for row in tx.execute(found)
    )


def add(
    tx: Tx, club: ClubId, person: PersonId, acting: PersonId, starts: datetime, ends: datetime
) -> None:
    """Note an absence in place of any of this person's that it overlaps, and drop old ones."""
    over = sa.and_(
        ABSENCE.c.person_id == person, ABSENCE.c.starts_at < ends, ABSENCE.c.ends_at > starts
    )
    old = ABSENCE.c.ends_at < starts - KEPT
    tx.execute(sa.delete(ABSENCE).where(ABSENCE.c.club_id == club, sa.or_(over, old)))
    tx.execute(
        sa.insert(ABSENCE).values(
            club_id=club, person_id=person, acting_id=acting, starts_at=starts, ends_at=ends
        )
    )


def end(tx: Tx, club: ClubId, person: PersonId, now: datetime) -> list[Absence]:
    """End a person's absences now, and return those; what hadn't begun is as if never said."""
    mine = [each for each in absences(tx, club) if each.person == person and each.ends_at > now]
    row = sa.and_(ABSENCE.c.club_id == club, ABSENCE.c.person_id == person, ABSENCE.c.ends_at > now)
    tx.execute(sa.delete(ABSENCE).where(row, ABSENCE.c.starts_at >= now))
    tx.execute(sa.update(ABSENCE).where(row).values(ends_at=now))
    return mine


def forget(tx: Tx, club: ClubId, person: PersonId) -> None:
    """Drop the absences that somebody has or acts for."""
    theirs = sa.or_(ABSENCE.c.person_id == person, ABSENCE.c.acting_id == person)
    tx.execute(sa.delete(ABSENCE).where(ABSENCE.c.club_id == club, theirs))


def pass_on(
    tx: Tx,
    club: ClubId,
    person: PersonId,
    to: PersonId,
    between: tuple[datetime, datetime],
    but: Iterable[str],
) -> None:
    """Owe somebody else what waits to be sent to a person then, except notices of some kinds."""
    wait = tx.execute(
        sa.select(NOTICE).where(
            NOTICE.c.club_id == club,
            NOTICE.c.person_id == person,
            NOTICE.c.state == "waiting",
            NOTICE.c.urgent.is_(False),
            NOTICE.c.kind.not_in(list(but)),
            NOTICE.c.send_at.between(*between),
        )
    ).all()
    if not wait:
        return
    ids = [row.id for row in wait]
    gone = sa.update(NOTICE).where(NOTICE.c.club_id == club, NOTICE.c.id.in_(ids))
    tx.execute(gone.values(state="dropped", lease_until=None))
    rows = [{**row._mapping, "person_id": to, "tries": 0} for row in wait]
    for row in rows:
        del row["id"]
    added = inserting(tx.dialect, NOTICE).values(rows)
    tx.execute(added.on_conflict_do_nothing())
