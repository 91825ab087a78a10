"""What wear is told by: the faults of a span, and whose warranty ends when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, KitId
from clubbot.store.engine import Tx
from clubbot.store.faults import kit_now, whole
from clubbot.store.tables import FAULT, FAULT_STEP, ITEM, POSITION

_OF_FAULT = sa.and_(FAULT_STEP.c.club_id == FAULT.c.club_id, FAULT_STEP.c.fault_id == FAULT.c.id)


@dataclass(frozen=True, slots=True)
class Reported:
    """A fault by the kit that it is in now, once for each time that it came."""

    kit: KitId
    number: int
    symptom: str
    at: datetime
    closed: bool


def reported(tx: Tx, club: ClubId, since: datetime) -> list[Reported]:
    """Return the faults reported since then that weren't said by mistake, in order of time.

    One that came back after it was mended counts again.
    """
    where = (FAULT.c.club_id == club, kit_now.is_not(None), sa.not_(FAULT.c.mistaken))
    columns = (FAULT.c.number, FAULT.c.symptom, FAULT.c.state, kit_now.label("now_in"))
    first = (
        sa.select(*columns, FAULT.c.reported_at.label("at"))
        .select_from(whole)
        .where(*where, FAULT.c.reported_at >= since)
    )
    again = (
        sa.select(*columns, FAULT_STEP.c.at)
        .select_from(whole.join(FAULT_STEP, _OF_FAULT))
        .where(*where, FAULT_STEP.c.at >= since, FAULT_STEP.c.what == "back")
    )
    found = [*tx.execute(first), *tx.execute(again)]
    return [
        Reported(KitId(row.now_in), row.number, row.symptom, row.at, row.state == "closed")
        for row in sorted(found, key=lambda row: (row.at, row.number))
    ]


def mended(tx: Tx, club: ClubId, since: datetime) -> dict[KitId, list[tuple[str, str]]]:
    """Return what was done to each kit since then: the symptom and the fix, in order of time."""
    found = (
        sa.select(kit_now.label("now_in"), FAULT.c.symptom, FAULT_STEP.c.note)
        .select_from(whole.join(FAULT_STEP, _OF_FAULT))
        .where(
            FAULT.c.club_id == club,
            kit_now.is_not(None),
            sa.not_(FAULT.c.mistaken),
            FAULT_STEP.c.at >= since,
            FAULT_STEP.c.what == "fixed",
        )
        .order_by(FAULT_STEP.c.at, FAULT_STEP.c.id)
    )
    done: dict[KitId, list[tuple[str, str]]] = {}
    for row in tx.execute(found):
        done.setdefault(KitId(row.now_in), []).append((row.symptom, row.note))
    return done


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
