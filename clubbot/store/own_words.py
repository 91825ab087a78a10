"""What a club adds to the knowledge base in its own words, by the code of a check or cause."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store.engine import Tx
from clubbot.store.tables import OWN_WORD


@dataclass(frozen=True, slots=True)
class OwnWords:
    id: int
    code: str
    text: str


def every(tx: Tx, club: ClubId) -> list[OwnWords]:
    """Return all that a club has added, in the order in which it was said."""
    found = sa.select(OWN_WORD).where(OWN_WORD.c.club_id == club).order_by(OWN_WORD.c.id)
    return [OwnWords(row.id, row.code, row.text) for row in tx.execute(found)]


def on(tx: Tx, club: ClubId, codes: Iterable[str]) -> tuple[str, ...]:
    """Return what a club has added to these checks and causes."""
    found = (
        sa.select(OWN_WORD.c.text)
        .where(OWN_WORD.c.club_id == club, OWN_WORD.c.code.in_(list(codes)))
        .order_by(OWN_WORD.c.id)
    )
    return tuple(tx.execute(found).scalars())


def add(tx: Tx, club: ClubId, code: str, text: str, now: datetime) -> None:
    """Add words to a check or a cause."""
    tx.execute(sa.insert(OWN_WORD).values(club_id=club, code=code, text=text, at=now))


def drop(tx: Tx, club: ClubId, number: int) -> bool:
    """Take words away; False where they aren't there."""
    mine = sa.and_(OWN_WORD.c.club_id == club, OWN_WORD.c.id == number)
    return bool(tx.execute(sa.delete(OWN_WORD).where(mine)).rowcount)
