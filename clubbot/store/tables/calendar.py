"""When the club meets, when an adult is there, when it is closed, and the school's calendar."""

from __future__ import annotations

from datetime import date, datetime, time

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of, owned


class Meeting(SQLModel, table=True):
    """A weekly meeting time, in the club's own wall time; weekday 0 is Monday."""

    __table_args__ = (
        owned(),
        of("adult_id", "person"),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        sa.CheckConstraint("starts < ends", name="span"),
    )
    id: int = key()
    club_id: int = club()
    name: str = Field(default="", max_length=60)
    weekday: int
    starts: time
    ends: time
    adult_id: int | None = big(nullable=True)


class SupervisedHours(SQLModel, table=True):
    """When an adult is in the room, in the club's own wall time, beside the meetings."""

    __tablename__ = "supervised_hours"
    __table_args__ = (
        owned(),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        sa.CheckConstraint("starts < ends", name="span"),
    )
    id: int = key()
    club_id: int = club()
    weekday: int
    starts: time
    ends: time


class Closure(SQLModel, table=True):
    """Days without meetings, both ends included; `feed_key` where the school's calendar says so."""

    __table_args__ = (owned(), sa.CheckConstraint("first_day <= last_day", name="span"))
    id: int = key()
    club_id: int = club()
    first_day: date
    last_day: date
    why: str = Field(default="", max_length=80)
    feed_key: str | None = Field(default=None, max_length=16)


class SessionMove(SQLModel, table=True):
    """One session held at another time: `day` and `at` say which, the others when it is instead."""

    __tablename__ = "session_move"
    __table_args__ = (sa.CheckConstraint("starts < ends", name="span"),)
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    day: date = Field(primary_key=True)
    at: time = Field(primary_key=True)
    to_day: date
    starts: time
    ends: time


class Feed(SQLModel, table=True):
    """The school's calendar by its address, which may be a secret; the store keeps one a club.

    `read_at` is when the copy that stands was fetched, `read_to` the last day that it speaks for.
    `trouble` is what the newest try met, `told_at` when the leaders last heard of any.
    """

    __table_args__ = (owned(), of("set_by", "person"), sa.Index("ix_feed_next_at", "next_at"))
    id: int = key()
    club_id: int = club()
    url: str = Field(max_length=2000)
    set_by: int | None = big(nullable=True)
    etag: str = Field(default="", max_length=200)
    last_modified: str = Field(default="", max_length=60)
    next_at: datetime
    read_at: datetime | None = None
    read_to: date | None = None
    trouble: str = Field(default="", max_length=20)
    told_at: datetime | None = None


class FeedEntry(SQLModel, table=True):
    """What the copy that stands says of closed days, and what a leader made of it."""

    __tablename__ = "feed_entry"
    __table_args__ = (
        sa.CheckConstraint("state IN ('taken', 'unsure', 'dropped')", name="state"),
        sa.CheckConstraint("first_day <= last_day", name="span"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    key: str = Field(max_length=16, primary_key=True)
    first_day: date
    last_day: date
    why: str = Field(max_length=80)
    sure: bool
    state: str = Field(max_length=8)


MEETING = core(Meeting)
SUPERVISED_HOURS = core(SupervisedHours)
CLOSURE = core(Closure)
SESSION_MOVE = core(SessionMove)
FEED = core(Feed)
FEED_ENTRY = core(FeedEntry)
