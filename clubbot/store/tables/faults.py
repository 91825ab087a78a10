"""Faults and their photos."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Fault(SQLModel, table=True):
    __table_args__ = (
        owned(),
        of("kit_id", "kit"),
        of("item_id", "item"),
        of("reported_by", "person"),
        sa.UniqueConstraint("club_id", "number"),
        sa.CheckConstraint("state IN ('open', 'at the supplier', 'closed')", name="state"),
        sa.Index("ix_fault_open", "club_id", "state", "kit_id"),
    )
    id: int = key()
    club_id: int = club()
    number: int
    kit_id: int | None = big(nullable=True)
    item_id: int | None = big(nullable=True)
    symptom: str = Field(max_length=20)
    danger: bool = False
    said: str = Field(default="", max_length=600)
    state: str = Field(default="open", max_length=16)
    reported_by: int | None = big(nullable=True)
    reported_at: datetime
    closed_at: datetime | None = None
    fix: str = Field(default="", max_length=300)
    cause: str = Field(default="", max_length=40)


class FaultPhoto(SQLModel, table=True):
    """A photo or video by the platform's own file id; the file itself is not kept."""

    __tablename__ = "fault_photo"
    __table_args__ = (
        of("fault_id", "fault"),
        sa.UniqueConstraint("club_id", "fault_id", "file_unique_id"),
    )
    id: int = key()
    club_id: int = club()
    fault_id: int = big()
    file_id: str = Field(max_length=200)
    file_unique_id: str = Field(max_length=60)
    kind: str = Field(max_length=10)
    at: datetime


class FaultCheck(SQLModel, table=True):
    """A check that somebody did, and what came of it; who it was is kept nowhere."""

    __tablename__ = "fault_check"
    __table_args__ = (
        of("fault_id", "fault"),
        sa.UniqueConstraint("club_id", "fault_id", "code"),
        sa.CheckConstraint("outcome IN ('worked', 'same', 'cant')", name="outcome"),
    )
    id: int = key()
    club_id: int = club()
    fault_id: int = big()
    code: str = Field(max_length=40)
    outcome: str = Field(max_length=6)
    at: datetime


FAULT = core(Fault)
FAULT_PHOTO = core(FaultPhoto)
FAULT_CHECK = core(FaultCheck)
