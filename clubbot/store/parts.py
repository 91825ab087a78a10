"""What belongs into a tray, and when a kit was last away for long."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime, timedelta

import sqlalchemy as sa

from clubbot.rules.model import ClubId, KitId, KitTypeId
from clubbot.store.engine import Tx
from clubbot.store.tables import BOOKING, BOOKING_KIT, PART

_LONG = timedelta(days=2)
_BEFORE = timedelta(days=90)


def contents(tx: Tx, club: ClubId, kit_type: KitTypeId) -> list[tuple[str, int]]:
    """Return a kit type's parts with how many there are of each; what is big comes first."""
    found = (
        sa.select(PART.c.name, PART.c.number)
        .where(PART.c.club_id == club, PART.c.kit_type_id == kit_type)
        .order_by(PART.c.big.desc(), PART.c.id)
    )
    return [(row.name, row.number) for row in tx.execute(found)]


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One line of a contents list, as the table has it."""

    kit_type: KitTypeId
    name: str
    number: int
    big: bool
    essential: bool
    compartment: str | None
    weight_mg: int | None
    spread_mg: int | None
    pack: int | None
    price_cents: int | None


def listed(tx: Tx, club: ClubId) -> list[ListedPart]:
    """Return all lines of all contents lists: by kit type, what is big first."""
    names = [field.name for field in fields(ListedPart) if field.name != "kit_type"]
    found = (
        sa.select(PART.c.kit_type_id, *(PART.c[name] for name in names))
        .where(PART.c.club_id == club)
        .order_by(PART.c.kit_type_id, PART.c.big.desc(), PART.c.id)
    )
    return [ListedPart(*row) for row in tx.execute(found)]


def back_from_away(tx: Tx, club: ClubId, now: datetime) -> dict[KitId, datetime]:
    """Return when each kit's last keep or loan over days ended, of the last three months."""
    over = sa.func.coalesce(BOOKING.c.ended_at, BOOKING.c.ends)
    found = (
        sa.select(BOOKING_KIT.c.kit_id, BOOKING.c.kind, BOOKING.c.starts, over.label("over"))
        .join_from(
            BOOKING,
            BOOKING_KIT,
            sa.and_(
                BOOKING_KIT.c.club_id == BOOKING.c.club_id,
                BOOKING_KIT.c.booking_id == BOOKING.c.id,
            ),
        )
        .where(
            BOOKING.c.club_id == club,
            BOOKING.c.cancelled_at.is_(None),
            BOOKING.c.ends > now - _BEFORE,
            BOOKING.c.starts < now,
        )
    )
    last: dict[KitId, datetime] = {}
    for row in tx.execute(found):
        ended = min(row.over, now) if row.over <= now else None
        if ended is not None and (row.kind == "keep" or ended - row.starts >= _LONG):
            last[row.kit_id] = max(ended, last.get(row.kit_id, ended))
    return last
