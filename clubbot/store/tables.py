"""The tables: constraints and indexes, no behaviour.

Every table of a club's own things carries the club, and every foreign key between them carries it
too, so that a row of one club can never point into another. Instants are stored in UTC; a naive
datetime is refused by the column type.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

SQLModel.metadata.naming_convention = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
"""SQLite numbers rows by itself only where the key's type is plain INTEGER."""


def _key() -> Any:
    return Field(default=None, primary_key=True, sa_type=BIG)


def _big(*, nullable: bool = False) -> Any:
    return Field(default=None, sa_type=BIG, nullable=nullable)


def _club() -> Any:
    return Field(default=None, sa_type=BIG, nullable=False, foreign_key="club.id", index=True)


def _of(column: str, table: str) -> sa.ForeignKeyConstraint:
    """Point to another row of the same club."""
    return sa.ForeignKeyConstraint(["club_id", column], [f"{table}.club_id", f"{table}.id"])


def _owned() -> sa.UniqueConstraint:
    """What lets other tables point to (club, id)."""
    return sa.UniqueConstraint("club_id", "id")


class Club(SQLModel, table=True):
    id: int = _key()
    name: str = Field(max_length=80)
    zone: str = Field(max_length=64)
    version: int = Field(default=0, sa_type=BIG)
    last_seq: int = Field(default=0, sa_type=BIG)
    settings: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    swept_to: datetime | None = None
    created_at: datetime


class Place(SQLModel, table=True):
    __table_args__ = (_owned(), sa.UniqueConstraint("club_id", "name"))
    id: int = _key()
    club_id: int = _club()
    name: str = Field(max_length=60)


class Person(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        sa.UniqueConstraint("club_id", "telegram_id"),
        sa.CheckConstraint(
            "role IN ('leader', 'co-leader', 'helper', 'student', 'door phone', 'stranger')",
            name="role",
        ),
    )
    id: int = _key()
    club_id: int = _club()
    telegram_id: int | None = Field(default=None, sa_type=BIG, index=True)
    name: str = Field(max_length=60)
    role: str = Field(max_length=16)
    joined_at: datetime
    chosen_at: datetime
    unreachable_since: datetime | None = None
    left_at: datetime | None = None


class Invitation(SQLModel, table=True):
    __table_args__ = (_owned(), sa.CheckConstraint("uses_left >= 0", name="uses"))
    id: int = _key()
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
    id: int = _key()
    telegram_id: int = Field(sa_type=BIG, index=True)
    at: datetime


class Knock(SQLModel, table=True):
    __table_args__ = (_owned(), sa.UniqueConstraint("club_id", "telegram_id"))
    id: int = _key()
    club_id: int = _club()
    telegram_id: int = Field(sa_type=BIG)
    name: str = Field(max_length=60)
    role: str = Field(max_length=16)
    at: datetime


class GroupChat(SQLModel, table=True):
    __tablename__ = "group_chat"
    __table_args__ = (_owned(),)
    id: int = _key()
    club_id: int = _club()
    chat_id: int = Field(sa_type=BIG, unique=True)
    title: str = Field(max_length=140)
    linked_at: datetime
    removed_at: datetime | None = None


class Team(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        _of("adult_id", "person"),
        sa.Index("uq_team_name", "club_id", "name", unique=True),
    )
    id: int = _key()
    club_id: int = _club()
    name: str = Field(max_length=60)
    adult_id: int | None = _big(nullable=True)
    same_kit: bool = False
    removed_at: datetime | None = None


class TeamMember(SQLModel, table=True):
    __tablename__ = "team_member"
    __table_args__ = (_of("team_id", "team"), _of("person_id", "person"))
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    team_id: int = Field(sa_type=BIG, primary_key=True)
    person_id: int = Field(sa_type=BIG, primary_key=True)


class KitType(SQLModel, table=True):
    __tablename__ = "kit_type"
    __table_args__ = (_owned(), sa.UniqueConstraint("club_id", "name"))
    id: int = _key()
    club_id: int = _club()
    name: str = Field(max_length=60)
    run_minutes: int = Field(default=120)


class Part(SQLModel, table=True):
    """One line of a kit type's contents list."""

    __table_args__ = (
        _owned(),
        _of("kit_type_id", "kit_type"),
        sa.UniqueConstraint("club_id", "kit_type_id", "name"),
        sa.CheckConstraint("number > 0", name="number"),
    )
    id: int = _key()
    club_id: int = _club()
    kit_type_id: int = _big()
    name: str = Field(max_length=60)
    number: int
    big: bool = False
    essential: bool = True
    tray: str = Field(default="", max_length=40)


class Kit(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        _of("kit_type_id", "kit_type"),
        _of("place_id", "place"),
        sa.UniqueConstraint("club_id", "label"),
    )
    id: int = _key()
    club_id: int = _club()
    label: str = Field(max_length=16)
    kit_type_id: int = _big()
    place_id: int | None = _big(nullable=True)


class Item(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        sa.CheckConstraint("kind IN ('unit', 'battery', 'tablet', 'charger')", name="kind"),
        sa.CheckConstraint("price_cents >= 0", name="price"),
    )
    id: int = _key()
    club_id: int = _club()
    kind: str = Field(max_length=8)
    serial: str = Field(default="", max_length=60)
    price_cents: int | None = None
    bought_on: date | None = None
    warranty_until: date | None = None


class Charger(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        _of("place_id", "place"),
        sa.CheckConstraint("bays > 0", name="bays"),
    )
    id: int = _key()
    club_id: int = _club()
    name: str = Field(max_length=60)
    bays: int
    place_id: int | None = _big(nullable=True)


class Resource(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        sa.UniqueConstraint("club_id", "name"),
        sa.CheckConstraint("number >= 0", name="number"),
    )
    id: int = _key()
    club_id: int = _club()
    name: str = Field(max_length=60)
    number: int


class Meeting(SQLModel, table=True):
    """A weekly meeting time, in the club's own wall time; weekday 0 is Monday."""

    __table_args__ = (
        _owned(),
        _of("adult_id", "person"),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        sa.CheckConstraint("starts < ends", name="span"),
    )
    id: int = _key()
    club_id: int = _club()
    name: str = Field(default="", max_length=60)
    weekday: int
    starts: time
    ends: time
    adult_id: int | None = _big(nullable=True)


class SupervisedHours(SQLModel, table=True):
    """When an adult is in the room, in the club's own wall time, beside the meetings."""

    __tablename__ = "supervised_hours"
    __table_args__ = (
        _owned(),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        sa.CheckConstraint("starts < ends", name="span"),
    )
    id: int = _key()
    club_id: int = _club()
    weekday: int
    starts: time
    ends: time


class Closure(SQLModel, table=True):
    """Days without meetings, both ends included; `feed_key` where the school's calendar says so."""

    __table_args__ = (_owned(), sa.CheckConstraint("first_day <= last_day", name="span"))
    id: int = _key()
    club_id: int = _club()
    first_day: date
    last_day: date
    why: str = Field(default="", max_length=80)
    feed_key: str | None = Field(default=None, max_length=16)


class Booking(SQLModel, table=True):
    """`number` is what people read: it counts from 1 in each club.

    A `keep` holds built kits between sessions. An `offer` is a place held for somebody on the
    waiting list until `offered_until`. Bookings that repeat have their first number as `series`.
    """

    __table_args__ = (
        _owned(),
        _of("team_id", "team"),
        _of("kit_type_id", "kit_type"),
        _of("booked_by", "person"),
        sa.UniqueConstraint("club_id", "number"),
        sa.CheckConstraint("starts < ends", name="span"),
        sa.CheckConstraint("kits > 0", name="kits"),
        sa.CheckConstraint("kind IN ('use', 'keep', 'offer')", name="kind"),
        sa.Index("ix_booking_live", "club_id", "ends"),
        sa.Index("ix_booking_series", "club_id", "series"),
        sa.Index("ix_booking_team", "club_id", "team_id", "starts"),
    )
    id: int = _key()
    club_id: int = _club()
    number: int
    kind: str = Field(default="use", max_length=8)
    team_id: int | None = _big(nullable=True)
    kit_type_id: int = _big()
    kits: int
    starts: datetime
    ends: datetime
    booked_by: int | None = _big(nullable=True)
    booked_at: datetime
    cancelled_at: datetime | None = None
    ended_at: datetime | None = None
    series: int | None = None
    offered_until: datetime | None = None


class BookingKit(SQLModel, table=True):
    """A kit that a booking is to have: named by those who booked, or chosen and still movable."""

    __tablename__ = "booking_kit"
    __table_args__ = (
        _of("booking_id", "booking"),
        _of("kit_id", "kit"),
        sa.Index("ix_booking_kit_kit", "club_id", "kit_id"),
    )
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    booking_id: int = Field(sa_type=BIG, primary_key=True)
    kit_id: int = Field(sa_type=BIG, primary_key=True)
    named: bool = False
    told_at: datetime | None = None


class BookingResource(SQLModel, table=True):
    __tablename__ = "booking_resource"
    __table_args__ = (
        _of("booking_id", "booking"),
        _of("resource_id", "resource"),
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
        _owned(),
        _of("team_id", "team"),
        _of("person_id", "person"),
        _of("booking_id", "booking"),
        sa.CheckConstraint("state IN ('waiting', 'asked', 'offered', 'done')", name="state"),
        sa.CheckConstraint("starts < ends", name="span"),
        sa.Index("ix_wish_state", "club_id", "state", "said_at"),
    )
    id: int = _key()
    club_id: int = _club()
    team_id: int | None = _big(nullable=True)
    person_id: int = _big()
    kits: int
    starts: datetime
    ends: datetime
    said_at: datetime
    state: str = Field(max_length=8)
    why: str = Field(default="", max_length=20)
    booking_id: int | None = _big(nullable=True)


class Entry(SQLModel, table=True):
    """The ledger: rows are only ever added. `version` is the payload's, so old rows replay.

    `deed` is common to all that one person's one action wrote, so that it can be undone as one.
    """

    __table_args__ = (
        _of("said_by", "person"),
        _of("kit_id", "kit"),
        _of("item_id", "item"),
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
    said_by: int | None = _big(nullable=True)
    deed: str = Field(default="", max_length=40)
    kit_id: int | None = _big(nullable=True)
    item_id: int | None = _big(nullable=True)
    payload: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    cancels: int | None = _big(nullable=True)


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
    team_id: int | None = _big(nullable=True)
    booking_id: int | None = _big(nullable=True)
    out_since: datetime | None = None
    due: datetime | None = None
    said_back_at: datetime | None = None
    held: str | None = Field(default=None, max_length=300)
    withdrawn: str | None = Field(default=None, max_length=300)
    scrapped: bool = False
    charged_at: datetime | None = None
    kit_id: int | None = _big(nullable=True)
    last_at: datetime
    last_seq: int = _big()


class Fault(SQLModel, table=True):
    __table_args__ = (
        _owned(),
        _of("kit_id", "kit"),
        _of("item_id", "item"),
        _of("reported_by", "person"),
        sa.UniqueConstraint("club_id", "number"),
        sa.CheckConstraint("state IN ('open', 'at the supplier', 'closed')", name="state"),
        sa.Index("ix_fault_open", "club_id", "state", "kit_id"),
    )
    id: int = _key()
    club_id: int = _club()
    number: int
    kit_id: int | None = _big(nullable=True)
    item_id: int | None = _big(nullable=True)
    symptom: str = Field(max_length=20)
    danger: bool = False
    said: str = Field(default="", max_length=600)
    state: str = Field(default="open", max_length=16)
    reported_by: int | None = _big(nullable=True)
    reported_at: datetime
    closed_at: datetime | None = None
    fix: str = Field(default="", max_length=300)


class FaultPhoto(SQLModel, table=True):
    """A photo or video by the platform's own file id; the file itself is not kept."""

    __tablename__ = "fault_photo"
    __table_args__ = (
        _of("fault_id", "fault"),
        sa.UniqueConstraint("club_id", "fault_id", "file_unique_id"),
    )
    id: int = _key()
    club_id: int = _club()
    fault_id: int = _big()
    file_id: str = Field(max_length=200)
    file_unique_id: str = Field(max_length=60)
    kind: str = Field(max_length=10)
    at: datetime


class Notice(SQLModel, table=True):
    """A message owed to someone. The key makes a second sweep, process or restart add nothing."""

    __table_args__ = (
        sa.UniqueConstraint("club_id", "kind", "subject", "occurrence", "person_id"),
        _of("person_id", "person"),
        sa.CheckConstraint(
            "state IN ('waiting', 'sending', 'sent', 'unknown', 'dropped', 'gone')", name="state"
        ),
        sa.Index("ix_notice_owed", "state", "send_at"),
        sa.Index("ix_notice_person", "club_id", "person_id", "kind"),
    )
    id: int = _key()
    club_id: int = _club()
    kind: str = Field(max_length=24)
    subject: str = Field(max_length=40)
    occurrence: str = Field(max_length=40)
    person_id: int = _big()
    due_at: datetime
    send_at: datetime
    useful_until: datetime
    urgent: bool = False
    facts: dict[str, Any] = Field(default_factory=dict, sa_type=sa.JSON)
    state: str = Field(default="waiting", max_length=8)
    tries: int = 0
    lease_until: datetime | None = None
    sent_at: datetime | None = None
    message_id: int | None = _big(nullable=True)
    answer: str | None = Field(default=None, max_length=20)
    answered_at: datetime | None = None


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
    offset: int | None = _big(nullable=True)
    seen_at: datetime | None = None


class Feed(SQLModel, table=True):
    """The school's calendar by its address, which may be a secret; the store keeps one a club.

    `read_at` is when the copy that stands was fetched, `read_to` the last day that it speaks for.
    `trouble` is what the newest try met, `told_at` when the leaders last heard of any.
    """

    __table_args__ = (_owned(), _of("set_by", "person"), sa.Index("ix_feed_next_at", "next_at"))
    id: int = _key()
    club_id: int = _club()
    url: str = Field(max_length=2000)
    set_by: int | None = _big(nullable=True)
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


def _core(model: type[SQLModel]) -> sa.Table:
    return SQLModel.metadata.tables[str(model.__tablename__)]


# The Core tables, for statements: a hot path builds no objects.
CLUB, PLACE, GROUP_CHAT = _core(Club), _core(Place), _core(GroupChat)
PERSON, INVITATION, CODE_TRY, KNOCK = (
    _core(Person),
    _core(Invitation),
    _core(CodeTry),
    _core(Knock),
)
TEAM, TEAM_MEMBER = _core(Team), _core(TeamMember)
KIT, KIT_TYPE, PART, ITEM = _core(Kit), _core(KitType), _core(Part), _core(Item)
CHARGER, RESOURCE = _core(Charger), _core(Resource)
MEETING, SUPERVISED_HOURS, CLOSURE = _core(Meeting), _core(SupervisedHours), _core(Closure)
BOOKING, BOOKING_KIT, BOOKING_RESOURCE = (
    _core(Booking),
    _core(BookingKit),
    _core(BookingResource),
)
WISH = _core(Wish)
ENTRY, POSITION = _core(Entry), _core(Position)
FAULT, FAULT_PHOTO = _core(Fault), _core(FaultPhoto)
NOTICE, DIALOGUE = _core(Notice), _core(Dialogue)
FEED, FEED_ENTRY = _core(Feed), _core(FeedEntry)
