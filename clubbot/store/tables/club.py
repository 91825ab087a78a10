"""The club, its people, teams and groups."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of, owned


class Club(SQLModel, table=True):
    id: int = key()
    name: str = Field(max_length=80)
    zone: str = Field(max_length=64)
    version: int = Field(default=0, sa_type=BIG)
    last_seq: int = Field(default=0, sa_type=BIG)
    settings: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    created_at: datetime


class GroupChat(SQLModel, table=True):
    __tablename__ = "group_chat"
    __table_args__ = (owned(),)
    id: int = key()
    club_id: int = club()
    chat_id: int = Field(sa_type=BIG, unique=True)
    title: str = Field(max_length=140)
    linked_at: datetime
    removed_at: datetime | None = None
    topic: int | None = big(nullable=True)
    """The topic that announcements go to; None: the group itself."""
    announces: bool = True
    read_agreed_at: datetime | None = None
    """When an adult said that the school lets the bot see every message."""


class Person(SQLModel, table=True):
    __table_args__ = (
        owned(),
        sa.UniqueConstraint("club_id", "telegram_id"),
        sa.CheckConstraint(
            "role IN ('leader', 'co-leader', 'helper', 'student', 'door phone', 'stranger')",
            name="role",
        ),
    )
    id: int = key()
    club_id: int = club()
    telegram_id: int | None = Field(default=None, sa_type=BIG, index=True)
    name: str = Field(max_length=60)
    role: str = Field(max_length=16)
    joined_at: datetime
    chosen_at: datetime
    unreachable_since: datetime | None = None
    left_at: datetime | None = None


class Absence(SQLModel, table=True):
    """From when to when an adult is away, and which other adult acts for them."""

    __table_args__ = (owned(), of("person_id", "person"), of("acting_id", "person"))
    id: int = key()
    club_id: int = club()
    person_id: int = big()
    acting_id: int = big()
    starts_at: datetime
    ends_at: datetime


class Invitation(SQLModel, table=True):
    __table_args__ = (owned(), sa.CheckConstraint("uses_left >= 0", name="uses"))
    id: int = key()
    club_id: int | None = Field(
        default=None, sa_type=BIG, nullable=True, foreign_key="club.id", index=True
    )
    code_hash: str = Field(max_length=64, unique=True)
    role: str = Field(max_length=16)
    expires_at: datetime
    uses_left: int


class CodeTry(SQLModel, table=True):
    """Wrong codes, so that guessing is slowed down; rows go when a day old."""

    __tablename__ = "code_try"
    id: int = key()
    telegram_id: int = Field(sa_type=BIG, index=True)
    at: datetime


class Knock(SQLModel, table=True):
    __table_args__ = (owned(), sa.UniqueConstraint("club_id", "telegram_id"))
    id: int = key()
    club_id: int = club()
    telegram_id: int = Field(sa_type=BIG)
    name: str = Field(max_length=60)
    role: str = Field(max_length=16)
    at: datetime


class Team(SQLModel, table=True):
    __table_args__ = (
        owned(),
        of("adult_id", "person"),
        sa.Index("uq_team_name", "club_id", "name", unique=True),
    )
    id: int = key()
    club_id: int = club()
    name: str = Field(max_length=60)
    adult_id: int | None = big(nullable=True)
    same_kit: bool = False
    removed_at: datetime | None = None


class TeamMember(SQLModel, table=True):
    __tablename__ = "team_member"
    __table_args__ = (of("team_id", "team"), of("person_id", "person"))
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    team_id: int = Field(sa_type=BIG, primary_key=True)
    person_id: int = Field(sa_type=BIG, primary_key=True)


CLUB = core(Club)
GROUP_CHAT = core(GroupChat)
PERSON = core(Person)
ABSENCE = core(Absence)
INVITATION = core(Invitation)
CODE_TRY = core(CodeTry)
KNOCK = core(Knock)
TEAM = core(Team)
TEAM_MEMBER = core(TeamMember)
