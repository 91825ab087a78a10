"""What is on the chargers now, and the run-time tests of a whole fleet."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from clubbot.store.tables.columns import BIG, club, core, key, of, owned


class OnCharge(SQLModel, table=True):
    """A kit's unit, or (`own`) its tablet, that somebody put on a charger and nobody took off yet.

    `percent` is what it is expected to reach by `until`; `shows`: whether somebody has seen that
    it charges. What came of it stands in the ledger.
    """

    __tablename__ = "on_charge"
    __table_args__ = (of("kit_id", "kit"),)
    club_id: int = Field(sa_type=BIG, primary_key=True, foreign_key="club.id")
    kit_id: int = Field(sa_type=BIG, primary_key=True)
    own: bool = Field(primary_key=True)
    bay: int
    put_on_at: datetime
    until: datetime
    percent: int
    shows: bool = False


class RunTest(SQLModel, table=True):
    """All units run from full until they stop; when each stopped stands in the ledger."""

    __tablename__ = "run_test"
    __table_args__ = (owned(),)
    id: int = key()
    club_id: int = club()
    started_at: datetime
    ended_at: datetime | None = None
    kits: list[int] = Field(default_factory=list, sa_type=sa.JSON)


ON_CHARGE = core(OnCharge)
RUN_TEST = core(RunTest)
