"""What every table is made of: keys, the club that owns a row, pointers within a club."""

from __future__ import annotations

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


def key() -> Any:
    """Number a table's rows."""
    return Field(default=None, primary_key=True, sa_type=BIG)


def big(*, nullable: bool = False) -> Any:
    """Hold a number as large as the platform's."""
    return Field(default=None, sa_type=BIG, nullable=nullable)


def club() -> Any:
    """Say whose a row is."""
    return Field(default=None, sa_type=BIG, nullable=False, foreign_key="club.id", index=True)


def of(column: str, table: str) -> sa.ForeignKeyConstraint:
    """Point to another row of the same club."""
    return sa.ForeignKeyConstraint(["club_id", column], [f"{table}.club_id", f"{table}.id"])


def owned() -> sa.UniqueConstraint:
    """What lets other tables point to (club, id)."""
    return sa.UniqueConstraint("club_id", "id")


def core(model: type[SQLModel]) -> sa.Table:
    """Return a class's Core table, for statements: a hot path builds no objects."""
    return SQLModel.metadata.tables[str(model.__tablename__)]
