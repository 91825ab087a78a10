"""Spare parts on the shelf."""

from __future__ import annotations

import sqlalchemy as sa
from sqlmodel import SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Spare(SQLModel, table=True):
    """How many of a part lie on the shelf."""

    __table_args__ = (
        owned(),
        of("part_id", "part"),
        sa.UniqueConstraint("club_id", "part_id"),
        sa.CheckConstraint("number >= 0", name="number"),
    )
    id: int = key()
    club_id: int = club()
    part_id: int = big()
    number: int


SPARE = core(Spare)
