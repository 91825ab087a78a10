"""Faults and their photos."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId, KitId, PersonId
from clubbot.rules.results import FaultLine, KitRef
from clubbot.store.engine import Tx
from clubbot.store.tables import FAULT, FAULT_PHOTO, KIT


def still_open(tx: Tx, club: ClubId, kit: KitId | None = None) -> list[FaultLine]:
    """Return the faults that aren't closed, of one kit or of all, oldest first."""
    found = (
        sa.select(FAULT, KIT.c.label)
        .outerjoin_from(
            FAULT, KIT, sa.and_(KIT.c.club_id == FAULT.c.club_id, KIT.c.id == FAULT.c.kit_id)
        )
        .where(FAULT.c.club_id == club, FAULT.c.state != "closed")
        .order_by(FAULT.c.number)
    )
    if kit is not None:
        found = found.where(FAULT.c.kit_id == kit)
    return [
        FaultLine(
            id=row.id,
            number=row.number,
            kit=KitRef(row.kit_id, row.label) if row.kit_id is not None else None,
            symptom=row.symptom,
            danger=row.danger,
            said=row.said,
            reported_at=row.reported_at,
        )
        for row in tx.execute(found)
    ]


def add(
    tx: Tx,
    club: ClubId,
    *,
    kit: KitId | None,
    symptom: str,
    danger: bool,
    said: str,
    reported_by: PersonId | None,
    now: datetime,
) -> FaultLine:
    """Open a fault; people will know it by the next number."""
    taken = sa.select(sa.func.coalesce(sa.func.max(FAULT.c.number), 0) + 1)
    made = tx.execute(
        sa.insert(FAULT)
        .values(
            club_id=club,
            number=taken.where(FAULT.c.club_id == club).scalar_subquery(),
            kit_id=kit,
            symptom=symptom,
            danger=danger,
            said=said[:600],
            state="open",
            reported_by=reported_by,
            reported_at=now,
            fix="",
        )
        .returning(FAULT.c.id)
    )
    number = made.scalar_one()
    return next(line for line in still_open(tx, club, kit) if line.id == number)


def alarms_by(tx: Tx, club: ClubId, person: PersonId, since: datetime) -> int:
    """Return how often a person has reported danger since then, whatever the number of kits."""
    reports = (
        sa.select(FAULT.c.reported_at, FAULT.c.said)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.reported_by == person,
            FAULT.c.danger,
            FAULT.c.reported_at > since,
        )
        .distinct()
    )
    return len(tx.execute(reports).all())


def join(tx: Tx, club: ClubId, fault: FaultId, said: str) -> None:
    """Add a further report to an open fault, as far as there is room."""
    tx.execute(
        sa.update(FAULT)
        .where(FAULT.c.club_id == club, FAULT.c.id == fault)
        .values(said=sa.func.substr(FAULT.c.said + sa.literal(f" / {said}"), 1, 600))
    )


def last_of(tx: Tx, club: ClubId, person: PersonId, since: datetime) -> tuple[FaultId, int] | None:
    """Return the id and number of the open fault that a person reported last since then."""
    row = tx.execute(
        sa.select(FAULT.c.id, FAULT.c.number)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.reported_by == person,
            FAULT.c.reported_at > since,
            FAULT.c.state != "closed",
        )
        .order_by(FAULT.c.number.desc())
        .limit(1)
    ).first()
    return (row.id, row.number) if row else None


def close(tx: Tx, club: ClubId, fault: FaultId, fix: str, now: datetime) -> None:
    """Close a fault with what was done."""
    tx.execute(
        sa.update(FAULT)
        .where(FAULT.c.club_id == club, FAULT.c.id == fault)
        .values(state="closed", closed_at=now, fix=fix[:300])
    )


def add_photo(
    tx: Tx, club: ClubId, fault: FaultId, file_id: str, unique_id: str, kind: str, now: datetime
) -> None:
    """Keep a photo's file id with a fault; the same photo twice is kept once."""
    known = tx.execute(
        sa.select(FAULT_PHOTO.c.id).where(
            FAULT_PHOTO.c.club_id == club,
            FAULT_PHOTO.c.fault_id == fault,
            FAULT_PHOTO.c.file_unique_id == unique_id,
        )
    ).first()
    if known is None:
        tx.execute(
            sa.insert(FAULT_PHOTO).values(
                club_id=club,
                fault_id=fault,
                file_id=file_id,
                file_unique_id=unique_id,
                kind=kind,
                at=now,
            )
        )
