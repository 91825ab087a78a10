"""Walks through the store room, kit by kit."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of, owned


class Stocktake(SQLModel, table=True):
    """A walk that goes on: who is at it, in which message, and what was shown for the last yes.

    When it is over nothing of it is kept: what it came to stands in the ledger.
    """

    __table_args__ = (owned(), of("person_id", "person"))
    id: int = key()
    club_id: int = club()
    person_id: int | None = big(nullable=True)
    begun_at: datetime
    went_on_at: datetime
    chat_id: int | None = big(nullable=True)
    message_id: int | None = big(nullable=True)
    shown: str = Field(default="", sa_type=sa.Text)


class StocktakeKit(SQLModel, table=True):
    """What was seen of one kit, and where it was by the books just then."""

    __tablename__ = "stocktake_kit"
    __table_args__ = (
        of("stocktake_id", "stocktake"),
        of("kit_id", "kit"),
        sa.CheckConstraint("seen IN ('there', 'gone', 'differs')", name="seen"),
        sa.CheckConstraint("booked IN ('shelf', 'out', 'lost')", name="booked"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    stocktake_id: int = Field(sa_type=BIG, primary_key=True)
    kit_id: int = Field(sa_type=BIG, primary_key=True)
    seen: str = Field(max_length=8)
    booked: str = Field(max_length=8)
    missing: list[list[Any]] | None = Field(default=None, sa_type=sa.JSON(none_as_null=True))


STOCKTAKE = core(Stocktake)
STOCKTAKE_KIT = core(StocktakeKit)
