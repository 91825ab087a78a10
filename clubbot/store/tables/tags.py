"""What stands behind the codes on labels, and mixes of one kit's unit with another's tablet."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Tag(SQLModel, table=True):
    """One printed label. `code` says nothing by itself; the last scan is kept for a mix only."""

    __table_args__ = (
        owned(),
        of("kit_id", "kit"),
        of("scanned_by", "person"),
        sa.UniqueConstraint("club_id", "kit_id", "thing"),
        sa.CheckConstraint("thing IN ('unit', 'tablet', 'tray')", name="thing"),
    )
    id: int = key()
    club_id: int = club()
    code: str = Field(max_length=16, unique=True)
    kit_id: int = big()
    thing: str = Field(max_length=8)
    scanned_by: int | None = big(nullable=True)
    scanned_at: datetime | None = None


class Mix(SQLModel, table=True):
    """The tablet of one kit went out with the unit of another."""

    __table_args__ = (
        owned(),
        of("unit_kit_id", "kit"),
        of("tablet_kit_id", "kit"),
        of("noted_by", "person"),
    )
    id: int = key()
    club_id: int = club()
    unit_kit_id: int = big()
    tablet_kit_id: int = big()
    noted_at: datetime
    noted_by: int | None = big(nullable=True)
    settled_at: datetime | None = None


TAG = core(Tag)
MIX = core(Mix)
