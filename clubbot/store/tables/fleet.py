"""The fleet: kit types with their parts, kits, items, chargers, what is booked along."""

from __future__ import annotations

from datetime import date

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import big, club, core, key, of, owned


class Place(SQLModel, table=True):
    __table_args__ = (owned(), sa.UniqueConstraint("club_id", "name"))
    id: int = key()
    club_id: int = club()
    name: str = Field(max_length=60)


class KitType(SQLModel, table=True):
    __tablename__ = "kit_type"
    __table_args__ = (owned(), sa.UniqueConstraint("club_id", "name"))
    id: int = key()
    club_id: int = club()
    name: str = Field(max_length=60)
    run_minutes: int = Field(default=120)


class Part(SQLModel, table=True):
    """One line of a kit type's contents list.

    `tray` is the group of trays that it is counted in, `compartment` where in the tray it lies.
    Weight and its spread (one standard deviation between pieces) are of one piece, in milligrams;
    `pack` is how many are sold together, the price is the pack's.
    """

    __table_args__ = (
        owned(),
        of("kit_type_id", "kit_type"),
        sa.UniqueConstraint("club_id", "kit_type_id", "name"),
        sa.CheckConstraint("number > 0", name="number"),
        sa.CheckConstraint("weight_mg > 0", name="weight"),
        sa.CheckConstraint("spread_mg >= 0", name="spread"),
        sa.CheckConstraint("pack > 0", name="pack"),
        sa.CheckConstraint("price_cents >= 0", name="price"),
    )
    id: int = key()
    club_id: int = club()
    kit_type_id: int = big()
    name: str = Field(max_length=60)
    number: int
    big: bool = False
    essential: bool = True
    tray: str = Field(default="", max_length=40)
    compartment: str | None = Field(default=None, max_length=40)
    weight_mg: int | None = None
    spread_mg: int | None = None
    pack: int | None = None
    price_cents: int | None = None


class Kit(SQLModel, table=True):
    """A label. `gives` caches the driving minutes that its battery gives nine times in ten, as of
    the ledger's `gives_seq`; None: as much as its type."""

    __table_args__ = (
        owned(),
        of("kit_type_id", "kit_type"),
        of("place_id", "place"),
        sa.UniqueConstraint("club_id", "label"),
    )
    id: int = key()
    club_id: int = club()
    label: str = Field(max_length=16)
    kit_type_id: int = big()
    place_id: int | None = big(nullable=True)
    gives: int | None = None
    gives_seq: int | None = big(nullable=True)


class Item(SQLModel, table=True):
    __table_args__ = (
        owned(),
        sa.CheckConstraint("kind IN ('unit', 'battery', 'tablet', 'charger')", name="kind"),
        sa.CheckConstraint("price_cents >= 0", name="price"),
    )
    id: int = key()
    club_id: int = club()
    kind: str = Field(max_length=8)
    serial: str = Field(default="", max_length=60)
    price_cents: int | None = None
    bought_on: date | None = None
    warranty_until: date | None = None


class Charger(SQLModel, table=True):
    __table_args__ = (
        owned(),
        of("place_id", "place"),
        sa.CheckConstraint("bays > 0", name="bays"),
    )
    id: int = key()
    club_id: int = club()
    name: str = Field(max_length=60)
    bays: int
    place_id: int | None = big(nullable=True)


class Resource(SQLModel, table=True):
    __table_args__ = (
        owned(),
        sa.UniqueConstraint("club_id", "name"),
        sa.CheckConstraint("number >= 0", name="number"),
    )
    id: int = key()
    club_id: int = club()
    name: str = Field(max_length=60)
    number: int


PLACE = core(Place)
KIT_TYPE = core(KitType)
PART = core(Part)
KIT = core(Kit)
ITEM = core(Item)
CHARGER = core(Charger)
RESOURCE = core(Resource)
