"""What was lost or stolen, and found again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId, ItemId, KitId, PersonId
from clubbot.rules.results import LostThing
from clubbot.store.engine import Tx
from clubbot.store.tables import ITEM, LOSS, POSITION


@dataclass(frozen=True, slots=True)
class LossRow:
    """`thing` is the kit, or what of it is gone; `item` is None for a kit."""

    number: int
    kit: KitId
    item: ItemId | None
    thing: LostThing
    stolen: bool
    last_seen: str
    pictures: str
    said_at: datetime


def standing(tx: Tx, club: ClubId) -> list[LossRow]:
    """Return what is lost by the ledger, each with its newest reference, the oldest first.

    So an undone loss is none, and an undone finding is one again.
    """
    of_kit = sa.and_(
        LOSS.c.item_id.is_(None),
        POSITION.c.subject == "kit",
        POSITION.c.subject_id == LOSS.c.kit_id,
    )
    of_item = sa.and_(POSITION.c.subject == "item", POSITION.c.subject_id == LOSS.c.item_id)
    found = (
        sa.select(LOSS)
        .join_from(
            LOSS,
            POSITION,
            sa.and_(POSITION.c.club_id == LOSS.c.club_id, sa.or_(of_kit, of_item)),
        )
        .where(LOSS.c.club_id == club, POSITION.c.lost.is_not(None))
        .order_by(LOSS.c.number)
    )
    newest = {(row.kit_id, row.item_id): _loss(row) for row in tx.execute(found)}
    return sorted(newest.values(), key=lambda loss: loss.number)


def by_number(tx: Tx, club: ClubId, number: int) -> LossRow | None:
    """Return the loss with this reference, found or not."""
    row = tx.execute(sa.select(LOSS).where(LOSS.c.club_id == club, LOSS.c.number == number)).first()
    return _loss(row) if row else None


def _loss(row: Any) -> LossRow:
    return LossRow(
        row.number,
        row.kit_id,
        row.item_id,
        row.thing,
        row.stolen,
        row.last_seen,
        row.pictures,
        row.said_at,
    )


def add(
    tx: Tx,
    club: ClubId,
    *,
    kit: KitId,
    item: ItemId | None,
    thing: str,
    stolen: bool,
    last_seen: str,
    said_by: PersonId,
    now: datetime,
) -> int:
    """Note a loss and return its reference number, which is never given twice."""
    newest = sa.select(sa.func.max(LOSS.c.number)).where(LOSS.c.club_id == club)
    number = (tx.execute(newest).scalar_one() or 0) + 1
    tx.execute(
        sa.insert(LOSS).values(
            club_id=club,
            number=number,
            kit_id=kit,
            item_id=item,
            thing=thing,
            stolen=stolen,
            last_seen=last_seen,
            pictures="unknown",
            said_by=said_by or None,
            said_at=now,
        )
    )
    return number


def change(tx: Tx, club: ClubId, number: int, **values: Any) -> None:
    """Change a loss's own columns."""
    tx.execute(
        sa.update(LOSS).where(LOSS.c.club_id == club, LOSS.c.number == number).values(**values)
    )


@dataclass(frozen=True, slots=True)
class ItemRow:
    id: ItemId
    kind: str
    serial: str
    price_cents: int | None
    kit: KitId | None


def items_of(tx: Tx, club: ClubId, kit: KitId) -> Sequence[ItemRow]:
    """Return the items that are fitted to a kit now."""
    found = (
        sa.select(ITEM, POSITION.c.kit_id)
        .join_from(
            ITEM,
            POSITION,
            sa.and_(
                POSITION.c.club_id == ITEM.c.club_id,
                POSITION.c.subject == "item",
                POSITION.c.subject_id == ITEM.c.id,
            ),
        )
        .where(ITEM.c.club_id == club, POSITION.c.kit_id == kit)
        .order_by(ITEM.c.id)
    )
    return [
        ItemRow(row.id, row.kind, row.serial, row.price_cents, row.kit_id)
        for row in tx.execute(found)
    ]
