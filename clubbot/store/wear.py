"""What wear is told by: the faults of a span, and whose warranty ends when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, KitId
from clubbot.store.engine import Tx
from clubbot.store.faults import kit_now, whole
from clubbot.store.tables import FAULT, ITEM, POSITION


@dataclass(frozen=True, slots=True)
class Reported:
    """A fault by the kit that it is in now; `fix` is empty while it is open."""

    kit: KitId
    number: int
    symptom: str
    at: datetime
    closed: bool
    fix: str


def reported(tx: Tx, club: ClubId, since: datetime) -> list[Reported]:
    """Return the faults reported since then that weren't said by mistake, in order of time."""
    found = (
        sa.select(FAULT, kit_now.label("now_in"))
        .select_from(whole)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.reported_at >= since,
            kit_now.is_not(None),
            sa.not_(FAULT.c.mistaken),
        )
        .order_by(FAULT.c.reported_at, FAULT.c.id)
    )
    return [
        Reported(
            KitId(row.now_in),
            row.number,
            row.symptom,
            row.reported_at,
            row.state == "closed",
            row.fix or "",
        )
        for row in tx.execute(found)
    ]


@dataclass(frozen=True, slots=True)
class Warranty:
    """A thing fitted to a kit, and until when its warranty runs."""

    kit: KitId
    kind: str
    until: date


def warranties(tx: Tx, club: ClubId) -> list[Warranty]:
    """Return the warranties that are noted of what is fitted to kits."""
    at = POSITION.alias("item_at")
    found = (
        sa.select(at.c.kit_id, ITEM.c.kind, ITEM.c.warranty_until)
        .join_from(
            ITEM,
            at,
            sa.and_(
                at.c.club_id == ITEM.c.club_id,
                at.c.subject == "item",
                at.c.subject_id == ITEM.c.id,
            ),
        )
        .where(ITEM.c.club_id == club, at.c.kit_id.is_not(None), ITEM.c.warranty_until.is_not(None))
        .order_by(ITEM.c.warranty_until, ITEM.c.id)
    )
    return [Warranty(KitId(row.kit_id), row.kind, row.warranty_until) for row in tx.execute(found)]
