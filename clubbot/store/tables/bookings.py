"""Bookings, the kits chosen for them, and requests that wait."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, big, club, core, key, of, owned


class Booking(SQLModel, table=True):
    """`number` is what people read: it counts from 1 in each club.

    A `keep` holds built kits between sessions. An `offer` is a place held for somebody on the
    waiting list until `offered_until`. Bookings that repeat have their first number as `series`.
    """

    __table_args__ = (
        owned(),
        of("team_id", "team"),
        of("kit_type_id", "kit_type"),
        of("booked_by", "person"),
        sa.UniqueConstraint("club_id", "number"),
        sa.CheckConstraint("starts < ends", name="span"),
        sa.CheckConstraint("kits > 0", name="kits"),
        sa.CheckConstraint("kind IN ('use', 'keep', 'offer')", name="kind"),
        sa.Index("ix_booking_live", "club_id", "ends"),
        sa.Index("ix_booking_series", "club_id", "series"),
        sa.Index("ix_booking_team", "club_id", "team_id", "starts"),
    )
    id: int = key()
    club_id: int = club()
    number: int
    kind: str = Field(default="use", max_length=8)
    team_id: int | None = big(nullable=True)
    kit_type_id: int = big()
    kits: int
    starts: datetime
    ends: datetime
    booked_by: int | None = big(nullable=True)
    booked_at: datetime
    cancelled_at: datetime | None = None
    ended_at: datetime | None = None
    series: int | None = None
    offered_until: datetime | None = None


class BookingKit(SQLModel, table=True):
    """A kit that a booking is to have: named by those who booked, or chosen and still movable."""

    __tablename__ = "booking_kit"
    __table_args__ = (
        of("booking_id", "booking"),
        of("kit_id", "kit"),
        sa.Index("ix_booking_kit_kit", "club_id", "kit_id"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    booking_id: int = Field(sa_type=BIG, primary_key=True)
    kit_id: int = Field(sa_type=BIG, primary_key=True)
    named: bool = False
    told_at: datetime | None = None


class OwedSwap(SQLModel, table=True):
    """A kit that people were told, which a booking has no more and they haven't heard that yet."""

    __tablename__ = "owed_swap"
    __table_args__ = (of("booking_id", "booking"), of("kit_id", "kit"))
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    booking_id: int = Field(sa_type=BIG, primary_key=True)
    kit_id: int = Field(sa_type=BIG, primary_key=True)
    named: bool = False
    why: str = Field(default="", max_length=40)


class BookingResource(SQLModel, table=True):
    __tablename__ = "booking_resource"
    __table_args__ = (
        of("booking_id", "booking"),
        of("resource_id", "resource"),
        sa.CheckConstraint("number > 0", name="number"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    booking_id: int = Field(sa_type=BIG, primary_key=True)
    resource_id: int = Field(sa_type=BIG, primary_key=True)
    number: int


class Wish(SQLModel, table=True):
    """A request that couldn't be booked: it waits for kits, or for a leader's yes.

    `booking_id` is the place held for it, or what came of it.
    """

    __table_args__ = (
        owned(),
        of("team_id", "team"),
        of("person_id", "person"),
        of("booking_id", "booking"),
        sa.CheckConstraint("state IN ('waiting', 'asked', 'offered', 'done')", name="state"),
        sa.CheckConstraint("starts < ends", name="span"),
        sa.Index("ix_wish_state", "club_id", "state", "said_at"),
    )
    id: int = key()
    club_id: int = club()
    team_id: int | None = big(nullable=True)
    person_id: int = big()
    kits: int
    starts: datetime
    ends: datetime
    said_at: datetime
    state: str = Field(max_length=8)
    why: str = Field(default="", max_length=20)
    booking_id: int | None = big(nullable=True)


BOOKING = core(Booking)
BOOKING_KIT = core(BookingKit)
OWED_SWAP = core(OwedSwap)
BOOKING_RESOURCE = core(BookingResource)
WISH = core(Wish)
