"""Walks through the store room, and the kits in the order in which they are passed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.ledger import Parts
from clubbot.rules.model import ClubId, KitId, PersonId
from clubbot.rules.stocktaking import Looked
from clubbot.store.engine import Tx
from clubbot.store.kits import label_order
from clubbot.store.tables import KIT, PLACE, STOCKTAKE, STOCKTAKE_KIT


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk that goes on; `person` goes on with it, in the message (chat, its number)."""

    id: int
    person: PersonId | None
    begun_at: datetime
    went_on_at: datetime
    message: tuple[int, int] | None
    shown: str


def running(tx: Tx, club: ClubId) -> Walk | None:
    """Return the walk that goes on, if one does."""
    row = tx.execute(sa.select(STOCKTAKE).where(STOCKTAKE.c.club_id == club)).first()
    if row is None:
        return None
    message = (row.chat_id, row.message_id) if row.message_id is not None else None
    return Walk(row.id, row.person_id, row.begun_at, row.went_on_at, message, row.shown)


def begin(tx: Tx, club: ClubId, person: PersonId, now: datetime) -> None:
    """Begin a walk, in place of any other."""
    end(tx, club)
    values = {"club_id": club, "person_id": person, "begun_at": now, "went_on_at": now, "shown": ""}
    tx.execute(sa.insert(STOCKTAKE).values(values))


def end(tx: Tx, club: ClubId) -> None:
    """Forget the walk that goes on, with all that was seen on it."""
    for table in (STOCKTAKE_KIT, STOCKTAKE):
        tx.execute(sa.delete(table).where(table.c.club_id == club))


def change(tx: Tx, club: ClubId, **values: Any) -> None:
    """Change the columns of the walk that goes on."""
    tx.execute(sa.update(STOCKTAKE).where(STOCKTAKE.c.club_id == club).values(**values))


def seen(tx: Tx, club: ClubId, walk: int) -> dict[KitId, Looked]:
    """Return what was seen on a walk so far, by kit."""
    found = sa.select(STOCKTAKE_KIT).where(
        STOCKTAKE_KIT.c.club_id == club, STOCKTAKE_KIT.c.stocktake_id == walk
    )
    return {
        row.kit_id: Looked(row.kit_id, row.seen, row.booked, _parts(row.missing))
        for row in tx.execute(found)
    }


def _parts(stored: Any) -> Parts:
    return tuple((part, number) for part, number in stored or ())


def note(tx: Tx, club: ClubId, walk: int, looked: Looked) -> None:
    """Note what was seen of a kit, in place of what was seen of it before."""
    forget(tx, club, walk, looked.kit)
    tx.execute(
        sa.insert(STOCKTAKE_KIT).values(
            club_id=club,
            stocktake_id=walk,
            kit_id=looked.kit,
            seen=looked.seen,
            booked=looked.booked,
            missing=[list(part) for part in looked.missing] or None,
        )
    )


def forget(tx: Tx, club: ClubId, walk: int, kit: KitId) -> None:
    """Note that a kit is to be looked at again."""
    tx.execute(
        sa.delete(STOCKTAKE_KIT).where(
            STOCKTAKE_KIT.c.club_id == club,
            STOCKTAKE_KIT.c.stocktake_id == walk,
            STOCKTAKE_KIT.c.kit_id == kit,
        )
    )


def places(tx: Tx, club: ClubId) -> dict[KitId, str]:
    """Return where each kit has its place, empty where none is noted, in the order of a walk.

    That is by place, so that nobody goes to and fro, and by label within one.
    """
    found = (
        sa.select(KIT.c.id, KIT.c.label, sa.func.coalesce(PLACE.c.name, "").label("place"))
        .outerjoin_from(
            KIT, PLACE, sa.and_(PLACE.c.club_id == KIT.c.club_id, PLACE.c.id == KIT.c.place_id)
        )
        .where(KIT.c.club_id == club)
    )
    rows = sorted(
        tx.execute(found), key=lambda row: (label_order(row.place), *label_order(row.label))
    )
    return {KitId(row.id): row.place for row in rows}
