"""Faults and their photos."""

from __future__ import annotations

from datetime import date, datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Fault(SQLModel, table=True):
    """`deed` is what its opening has in common with ledger entries of the same action.

    `mistaken`: it was closed because what opened it was taken back.
    """

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
    deed: str = Field(default="", max_length=40)
    mistaken: bool = False
    watched: bool = False


class FaultPhoto(SQLModel, table=True):
    """A photo or video by the platform's own file id; the file itself is not kept.

    `still_id` is the file id of a video's still. `looked_at` is when an adult has looked that no
    child is seen or heard: before that it goes to nobody outside.
    """

    __tablename__ = "fault_photo"
    __table_args__ = (
        owned(),
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
    still_id: str = Field(default="", max_length=200)
    looked_at: datetime | None = None


class FaultCopy(SQLModel, table=True):
    """The file of a photo or video, where a leader wanted a copy."""

    __tablename__ = "fault_copy"
    __table_args__ = (of("photo_id", "fault_photo"), sa.UniqueConstraint("club_id", "photo_id"))
    id: int = key()
    club_id: int = club()
    photo_id: int = big()
    content: bytes
    at: datetime


class FaultStep(SQLModel, table=True):
    """What became of a fault beside its checks; who did it is kept nowhere."""

    __tablename__ = "fault_step"
    __table_args__ = (
        of("fault_id", "fault"),
        sa.Index("ix_fault_step_fault", "club_id", "fault_id"),
    )
    id: int = key()
    club_id: int = club()
    fault_id: int = big()
    at: datetime
    what: str = Field(max_length=20)
    note: str = Field(default="", max_length=300)


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


class Claim(SQLModel, table=True):
    """A letter that went to the supplier, until when they promised an answer, and what came back.

    `item_id` is what is to blame, where that is known; `outcome` is empty until they answered.
    """

    __table_args__ = (
        of("fault_id", "fault"),
        of("item_id", "item"),
        sa.CheckConstraint("outcome IN ('', 'repaired', 'replaced', 'refused')", name="outcome"),
    )
    id: int = key()
    club_id: int = club()
    fault_id: int = big()
    item_id: int | None = big(nullable=True)
    sent_at: datetime
    promised_on: date | None = None
    ended_at: datetime | None = None
    outcome: str = Field(default="", max_length=10)
    note: str = Field(default="", max_length=300)


class OwnWord(SQLModel, table=True):
    """What a club adds to a check or a cause of the knowledge base, by its code."""

    __tablename__ = "own_word"
    id: int = key()
    club_id: int = club()
    code: str = Field(max_length=40)
    text: str = Field(max_length=300)
    at: datetime


FAULT = core(Fault)
FAULT_PHOTO = core(FaultPhoto)
FAULT_CHECK = core(FaultCheck)
FAULT_COPY = core(FaultCopy)
FAULT_STEP = core(FaultStep)
CLAIM = core(Claim)
OWN_WORD = core(OwnWord)
