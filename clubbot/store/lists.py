"""Which message shows whom a day's list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, PersonId
from clubbot.store.engine import Tx
from clubbot.store.tables import DAY_LIST, NOTICE, PERSON


@dataclass(frozen=True, slots=True)
class ListRow:
    person: PersonId
    chat_id: int
    message_id: int


def keep(tx: Tx, club: ClubId, person: PersonId, chat_id: int, message_id: int, day: date) -> None:
    """Note that this message shows a person the day's list, in place of any other of theirs."""
    mine = (DAY_LIST.c.club_id == club, DAY_LIST.c.person_id == person)
    tx.execute(sa.delete(DAY_LIST).where(*mine))
    tx.execute(
        sa.insert(DAY_LIST).values(
            club_id=club, person_id=person, chat_id=chat_id, message_id=message_id, day=day
        )
    )


def of_day(tx: Tx, club: ClubId, day: date, kind: str, since: datetime) -> list[ListRow]:
    """Return the messages that show a day's list: asked for, or else sent as this kind of notice.

    Notices count that were sent since then.
    """
    asked = sa.select(DAY_LIST.c.person_id, DAY_LIST.c.chat_id, DAY_LIST.c.message_id).where(
        DAY_LIST.c.club_id == club, DAY_LIST.c.day == day
    )
    found = {row.person_id: ListRow(*row) for row in tx.execute(asked)}
    sent = (
        sa.select(NOTICE.c.person_id, PERSON.c.telegram_id, NOTICE.c.message_id)
        .join_from(
            NOTICE,
            PERSON,
            sa.and_(PERSON.c.club_id == NOTICE.c.club_id, PERSON.c.id == NOTICE.c.person_id),
        )
        .where(
            NOTICE.c.club_id == club,
            NOTICE.c.kind == kind,
            NOTICE.c.sent_at >= since,
            NOTICE.c.message_id.is_not(None),
            PERSON.c.telegram_id.is_not(None),
            PERSON.c.left_at.is_(None),
        )
    )
    for row in tx.execute(sent):
        found.setdefault(row.person_id, ListRow(*row))
    return list(found.values())


def forget(tx: Tx, club: ClubId, person: PersonId) -> None:
    """Note that a person's list is no longer there to be kept up to date."""
    tx.execute(
        sa.delete(DAY_LIST).where(DAY_LIST.c.club_id == club, DAY_LIST.c.person_id == person)
    )
