"""Codes on labels, who scanned them last, and mixes of unit and tablet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.labels import Thing
from clubbot.rules.model import ClubId, KitId, PersonId
from clubbot.store.engine import Tx
from clubbot.store.tables import MIX, TAG


@dataclass(frozen=True, slots=True)
class TagRow:
    id: int
    club: ClubId
    code: str
    kit: KitId
    thing: Thing
    scanned_by: PersonId | None
    scanned_at: datetime | None


def _tag(row: Any) -> TagRow:
    return TagRow(
        row.id, row.club_id, row.code, row.kit_id, row.thing, row.scanned_by, row.scanned_at
    )


def of_club(tx: Tx, club: ClubId) -> list[TagRow]:
    """Return all labels of a club that were ever printed."""
    return [_tag(row) for row in tx.execute(sa.select(TAG).where(TAG.c.club_id == club))]


def by_code(tx: Tx, code: str) -> TagRow | None:
    """Return the label with this code, of whatever club."""
    row = tx.execute(sa.select(TAG).where(TAG.c.code == code)).first()
    return _tag(row) if row else None


def add(tx: Tx, club: ClubId, new: Iterable[tuple[KitId, str, str]]) -> None:
    """Add labels, each as (kit, thing, code)."""
    rows = [
        {"club_id": club, "kit_id": kit, "thing": thing, "code": code} for kit, thing, code in new
    ]
    if rows:
        tx.execute(sa.insert(TAG), rows)


def scanned(tx: Tx, tag: TagRow, person: PersonId, now: datetime, forget_before: datetime) -> None:
    """Note who scanned a label last, and forget all that was scanned before a moment."""
    tx.execute(
        sa.update(TAG)
        .where(TAG.c.club_id == tag.club, TAG.c.scanned_at < forget_before)
        .values(scanned_by=None, scanned_at=None)
    )
    tx.execute(
        sa.update(TAG)
        .where(TAG.c.club_id == tag.club, TAG.c.id == tag.id)
        .values(scanned_by=person, scanned_at=now)
    )


def scanned_by(tx: Tx, club: ClubId, person: PersonId, since: datetime) -> Sequence[TagRow]:
    """Return the labels that a person scanned since then, the newest first."""
    found = (
        sa.select(TAG)
        .where(TAG.c.club_id == club, TAG.c.scanned_by == person, TAG.c.scanned_at >= since)
        .order_by(TAG.c.scanned_at.desc(), TAG.c.id)
    )
    return [_tag(row) for row in tx.execute(found)]


@dataclass(frozen=True, slots=True)
class MixRow:
    id: int
    unit: KitId
    tablet: KitId
    noted_at: datetime


def mixes(tx: Tx, club: ClubId) -> list[MixRow]:
    """Return the mixes that nobody has settled yet."""
    found = sa.select(MIX).where(MIX.c.club_id == club, MIX.c.settled_at.is_(None))
    rows = tx.execute(found.order_by(MIX.c.id))
    return [MixRow(row.id, row.unit_kit_id, row.tablet_kit_id, row.noted_at) for row in rows]


def add_mix(
    tx: Tx, club: ClubId, unit: KitId, tablet: KitId, person: PersonId, now: datetime
) -> int:
    """Note that one kit's tablet is with another's unit; return the mix's id."""
    made = tx.execute(
        sa.insert(MIX)
        .values(club_id=club, unit_kit_id=unit, tablet_kit_id=tablet, noted_at=now, noted_by=person)
        .returning(MIX.c.id)
    )
    return int(made.scalar_one())


def settle_mix(tx: Tx, club: ClubId, mix: int, now: datetime) -> None:
    """Note that both are back with their own kits."""
    tx.execute(sa.update(MIX).where(MIX.c.club_id == club, MIX.c.id == mix).values(settled_at=now))
