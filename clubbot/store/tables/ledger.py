"""The ledger and the positions that follow from it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, core, of


class Entry(SQLModel, table=True):
    """The ledger: rows are only ever added. `version` is the payload's, so old rows replay.

    `deed` is common to all that one person's one action wrote, so that it can be undone as one.
    """

    __table_args__ = (
        of("said_by", "person"),
        of("kit_id", "kit"),
        of("item_id", "item"),
        of("kit_type_id", "kit_type"),
        sa.ForeignKeyConstraint(["club_id", "cancels"], ["entry.club_id", "entry.seq"]),
        sa.Index("ix_entry_kit", "club_id", "kit_id", "happened_at", "seq"),
        sa.Index("ix_entry_item", "club_id", "item_id", "happened_at", "seq"),
        sa.Index("ix_entry_said_by", "club_id", "said_by", "seq"),
        sa.Index("ix_entry_cancels", "club_id", "cancels"),
        sa.Index("ix_entry_deed", "club_id", "deed"),
        sa.Index("ix_entry_happened_at", "club_id", "happened_at"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    seq: int = Field(sa_type=BIG, primary_key=True)
    kind: str = Field(max_length=20)
    version: int = 1
    happened_at: datetime
    said_at: datetime
    said_by: int | None = big(nullable=True)
    deed: str = Field(default="", max_length=40)
    kit_id: int | None = big(nullable=True)
    item_id: int | None = big(nullable=True)
    kit_type_id: int | None = big(nullable=True)
    payload: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    cancels: int | None = big(nullable=True)


class Position(SQLModel, table=True):
    """The present position of each kit and item: a cache of the ledger, rebuilt by an audit.

    `subject` is 'kit' or 'item'. Only store/ledger.py writes here, with the entry it follows from.
    """

    __table_args__ = (
        sa.CheckConstraint("subject IN ('kit', 'item')", name="subject"),
        sa.Index("ix_position_due", "club_id", "due"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    subject: str = Field(max_length=4, primary_key=True)
    subject_id: int = Field(sa_type=BIG, primary_key=True)
    team_id: int | None = big(nullable=True)
    booking_id: int | None = big(nullable=True)
    out_since: datetime | None = None
    due: datetime | None = None
    said_back_at: datetime | None = None
    held: str | None = Field(default=None, max_length=300)
    withdrawn: str | None = Field(default=None, max_length=300)
    lost: str | None = Field(default=None, max_length=300)
    scrapped: bool = False
    charged_at: datetime | None = None
    missing: list[list[Any]] | None = Field(default=None, sa_type=sa.JSON(none_as_null=True))
    counted_at: datetime | None = None
    short_minutes: int | None = None
    kit_id: int | None = big(nullable=True)
    last_at: datetime
    last_seq: int = big()


ENTRY = core(Entry)
POSITION = core(Position)
