"""Messages that are kept up to date in place."""

from __future__ import annotations

from datetime import date

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, core, of


class DayList(SQLModel, table=True):
    """The message in which a person has a day's list: the newest one only."""

    __tablename__ = "day_list"
    __table_args__ = (of("person_id", "person"), sa.Index("ix_day_list_day", "club_id", "day"))
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    person_id: int = Field(sa_type=BIG, primary_key=True)
    chat_id: int = Field(sa_type=BIG)
    message_id: int = Field(sa_type=BIG)
    day: date


DAY_LIST = core(DayList)
