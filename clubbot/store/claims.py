"""Letters to the supplier: sent, until when an answer is promised, and what came back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId, ItemId
from clubbot.store.engine import Tx
from clubbot.store.tables import CLAIM, ITEM


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """A letter that went out; `ended_at` is None while the supplier hasn't answered."""

    id: int
    fault: FaultId
    item: ItemId | None
    sent_at: datetime
    promised_on: date | None
    ended_at: datetime | None
    outcome: str
    note: str


def add(tx: Tx, club: ClubId, fault: FaultId, item: ItemId | None, now: datetime) -> None:
    """Note that a letter about a fault was sent."""
    values = {"club_id": club, "fault_id": fault, "item_id": item, "sent_at": now}
    tx.execute(sa.insert(CLAIM).values(**values, outcome="", note=""))


def standing(tx: Tx, club: ClubId) -> list[ClaimRow]:
    """Return the letters that the supplier has not answered, the oldest first."""
    found = (
        sa.select(CLAIM)
        .where(CLAIM.c.club_id == club, CLAIM.c.ended_at.is_(None))
        .order_by(CLAIM.c.id)
    )
    return [_row(row) for row in tx.execute(found)]


def of_fault(tx: Tx, club: ClubId, fault: FaultId) -> ClaimRow | None:
    """Return the letter about a fault that the supplier has not answered."""
    return next((each for each in standing(tx, club) if each.fault == fault), None)


def change(tx: Tx, club: ClubId, fault: FaultId, **values: Any) -> None:
    """Change the standing letter about a fault."""
    mine = sa.and_(CLAIM.c.club_id == club, CLAIM.c.fault_id == fault, CLAIM.c.ended_at.is_(None))
    tx.execute(sa.update(CLAIM).where(mine).values(**values))


def forget(tx: Tx, club: ClubId, fault: FaultId) -> None:
    """Delete the standing letter about a fault: it was never sent."""
    mine = sa.and_(CLAIM.c.club_id == club, CLAIM.c.fault_id == fault, CLAIM.c.ended_at.is_(None))
    tx.execute(sa.delete(CLAIM).where(mine))


def stand_again(tx: Tx, club: ClubId, fault: FaultId) -> None:
    """Let the last letter about a fault stand again, as if it had not been answered."""
    newest = sa.select(sa.func.max(CLAIM.c.id)).where(
        CLAIM.c.club_id == club, CLAIM.c.fault_id == fault
    )
    tx.execute(
        sa.update(CLAIM)
        .where(CLAIM.c.club_id == club, CLAIM.c.id == newest.scalar_subquery())
        .values(ended_at=None, outcome="", note="")
    )


def purchase_of(
    tx: Tx, club: ClubId, items: list[ItemId]
) -> dict[ItemId, tuple[date | None, date | None]]:
    """Return when items were bought and until when their warranty runs, as far as it is noted."""
    found = sa.select(ITEM.c.id, ITEM.c.bought_on, ITEM.c.warranty_until).where(
        ITEM.c.club_id == club, ITEM.c.id.in_(items)
    )
    return {row.id: (row.bought_on, row.warranty_until) for row in tx.execute(found)}


def _row(row: Any) -> ClaimRow:
    return ClaimRow(
        row.id,
        FaultId(row.fault_id),
        row.item_id,
        row.sent_at,
        row.promised_on,
        row.ended_at,
        row.outcome,
        row.note,
    )
