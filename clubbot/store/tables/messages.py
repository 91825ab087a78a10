"""What came in, what is owed, and where conversations stand."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of


class Notice(SQLModel, table=True):
    """A message owed to someone. The key makes a second sweep, process or restart add nothing."""

    __table_args__ = (
        sa.UniqueConstraint("club_id", "kind", "subject", "occurrence", "person_id"),
        of("person_id", "person"),
        sa.CheckConstraint(
            "state IN ('waiting', 'sending', 'sent', 'unknown', 'dropped', 'gone')", name="state"
        ),
        sa.Index("ix_notice_owed", "state", "send_at"),
        sa.Index("ix_notice_person", "club_id", "person_id", "kind"),
    )
    id: int = key()
    club_id: int = club()
    kind: str = Field(max_length=24)
    subject: str = Field(max_length=40)
    occurrence: str = Field(max_length=40)
    person_id: int = big()
    due_at: datetime
    send_at: datetime
    useful_until: datetime
    urgent: bool = False
    facts: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    state: str = Field(default="waiting", max_length=8)
    tries: int = 0
    lease_until: datetime | None = None
    sent_at: datetime | None = None
    message_id: int | None = big(nullable=True)
    answer: str | None = Field(default=None, max_length=20)
    answered_at: datetime | None = None


class Announcement(SQLModel, table=True):
    """A message owed to a group. The key makes a repeat add nothing."""

    __table_args__ = (
        sa.UniqueConstraint("club_id", "group_id", "kind", "occurrence"),
        of("group_id", "group_chat"),
        sa.CheckConstraint(
            "state IN ('waiting', 'sending', 'sent', 'unknown', 'dropped', 'gone')", name="state"
        ),
        sa.Index("ix_announcement_owed", "state", "due_at"),
    )
    id: int = key()
    club_id: int = club()
    group_id: int = big()
    kind: str = Field(max_length=24)
    occurrence: str = Field(max_length=40)
    due_at: datetime
    useful_until: datetime
    facts: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    state: str = Field(default="waiting", max_length=8)
    tries: int = 0
    lease_until: datetime | None = None
    sent_at: datetime | None = None


class Inbox(SQLModel, table=True):
    """Updates that were fetched and are not yet handled; the body goes when it is done."""

    bot_id: int = Field(sa_type=BIG, primary_key=True)
    update_id: int = Field(sa_type=BIG, primary_key=True)
    chat: int = Field(sa_type=BIG)
    body: str = Field(sa_type=sa.Text)
    received_at: datetime
    tries: int = 0


class HandledUpdate(SQLModel, table=True):
    """Updates whose effect is committed, with the result to answer a repeat with."""

    __tablename__ = "handled_update"
    __table_args__ = (sa.Index("ix_handled_update_at", "at"),)
    bot_id: int = Field(sa_type=BIG, primary_key=True)
    update_id: int = Field(sa_type=BIG, primary_key=True)
    at: datetime
    result: str | None = Field(default=None, sa_type=sa.Text)


class Dialogue(SQLModel, table=True):
    """Where a conversation stands, so that a restart in its middle loses nothing."""

    chat_id: int = Field(sa_type=BIG, primary_key=True)
    telegram_id: int = Field(sa_type=BIG, primary_key=True)
    step: str = Field(max_length=40)
    facts: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    at: datetime


class Bot(SQLModel, table=True):
    """What is known of the bot itself between runs; one row a bot."""

    id: int = Field(sa_type=BIG, primary_key=True)
    username: str = Field(max_length=40)
    seen_at: datetime | None = None


NOTICE = core(Notice)
ANNOUNCEMENT = core(Announcement)
INBOX = core(Inbox)
HANDLED_UPDATE = core(HandledUpdate)
DIALOGUE = core(Dialogue)
BOT = core(Bot)
