"""What was lost or stolen."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Loss(SQLModel, table=True):
    """A kit, or one thing of it, that nobody can find; `number` is its reference."""

    __table_args__ = (
        owned(),
        of("kit_id", "kit"),
        of("item_id", "item"),
        of("said_by", "person"),
        sa.UniqueConstraint("club_id", "number"),
        sa.CheckConstraint(
            "thing IN ('kit', 'unit', 'battery', 'tablet', 'charger')", name="thing"
        ),
        sa.CheckConstraint("pictures IN ('unknown', 'yes', 'no')", name="pictures"),
    )
    id: int = key()
    club_id: int = club()
    number: int
    kit_id: int = big()
    item_id: int | None = big(nullable=True)
    thing: str = Field(max_length=8)
    stolen: bool = False
    last_seen: str = Field(default="", max_length=300)
    pictures: str = Field(default="unknown", max_length=8)
    said_by: int | None = big(nullable=True)
    said_at: datetime
    found_at: datetime | None = None


LOSS = core(Loss)
