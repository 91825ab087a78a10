"""What is kept so that adults can look after children, and children after themselves."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of


class SentMessage(SQLModel, table=True):
    """What the bot wrote to a student, a helper or the phone at the door; rows age out."""

    __tablename__ = "sent_message"
    __table_args__ = (of("person_id", "person"), sa.Index("ix_sent_message_at", "club_id", "at"))
    id: int = key()
    club_id: int = club()
    person_id: int = big()
    at: datetime
    text: str = Field(sa_type=sa.Text)


class Seen(SQLModel, table=True):
    """The day on which a person last wrote or tapped; nothing finer is kept."""

    __table_args__ = (of("person_id", "person"),)
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    person_id: int = Field(sa_type=BIG, primary_key=True)
    day: date


class Mute(SQLModel, table=True):
    """A kind of notice that a person doesn't want; danger has none."""

    __table_args__ = (of("person_id", "person"),)
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    person_id: int = Field(sa_type=BIG, primary_key=True)
    kind: str = Field(max_length=24, primary_key=True)


class LastButtons(SQLModel, table=True):
    """The newest buttons in a private chat, so that their texts can be typed; for a day."""

    __tablename__ = "last_buttons"
    chat_id: int = Field(sa_type=BIG, primary_key=True)
    at: datetime
    buttons: list[Any] = Field(default_factory=list, sa_type=sa.JSON)


SENT_MESSAGE = core(SentMessage)
SEEN = core(Seen)
MUTE = core(Mute)
LAST_BUTTONS = core(LastButtons)
