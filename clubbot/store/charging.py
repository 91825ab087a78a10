"""What is on the chargers now, and the run-time tests of a whole fleet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId, KitId
from clubbot.store.engine import Tx
from clubbot.store.tables import ON_CHARGE, RUN_TEST

Thing = tuple[KitId, bool]
"""A kit's unit, or (True) its tablet, which has a charger of its own."""


@dataclass(frozen=True, slots=True)
class OnCharge:
    """A unit or tablet on a charger; bay 0 is a charger of its own."""

    thing: Thing
    bay: int
    put_on_at: datetime
    until: datetime
    percent: int
    shows: bool = False


def on_charge(tx: Tx, club: ClubId) -> dict[Thing, OnCharge]:
    """Return all that is on the chargers, in the order of the bays."""
    found = tx.execute(sa.select(ON_CHARGE).where(ON_CHARGE.c.club_id == club))
    rows = sorted(found, key=lambda row: (row.own, row.bay, row.kit_id))
    return {
        (KitId(row.kit_id), row.own): OnCharge(
            (KitId(row.kit_id), row.own),
            row.bay,
            row.put_on_at,
            row.until,
            row.percent,
            row.shows,
        )
        for row in rows
    }


def put_on(tx: Tx, club: ClubId, lot: Iterable[OnCharge]) -> None:
    """Note that these are on; what was on before is noted anew."""
    things = list(lot)
    rows = [
        {
            "club_id": club,
            "kit_id": each.thing[0],
            "own": each.thing[1],
            "bay": each.bay,
            "put_on_at": each.put_on_at,
            "until": each.until,
            "percent": each.percent,
            "shows": each.shows,
        }
        for each in things
    ]
    take_off(tx, club, [each.thing for each in things])
    if rows:
        tx.execute(sa.insert(ON_CHARGE), rows)


def take_off(tx: Tx, club: ClubId, things: Iterable[Thing]) -> None:
    """Note that these are no longer on."""
    for kit, own in things:
        mine = (ON_CHARGE.c.club_id == club, ON_CHARGE.c.kit_id == kit, ON_CHARGE.c.own == own)
        tx.execute(sa.delete(ON_CHARGE).where(*mine))


def show(tx: Tx, club: ClubId, things: Iterable[Thing]) -> None:
    """Note that somebody has seen that these charge."""
    for kit, own in things:
        mine = (ON_CHARGE.c.club_id == club, ON_CHARGE.c.kit_id == kit, ON_CHARGE.c.own == own)
        tx.execute(sa.update(ON_CHARGE).where(*mine).values(shows=True))


@dataclass(frozen=True, slots=True)
class RunTestRow:
    id: int
    started_at: datetime
    ended_at: datetime | None
    kits: tuple[KitId, ...]


def running_test(tx: Tx, club: ClubId) -> RunTestRow | None:
    """Return the run-time test that was begun and not ended."""
    wanted = sa.select(RUN_TEST).where(RUN_TEST.c.club_id == club, RUN_TEST.c.ended_at.is_(None))
    row = tx.execute(wanted.order_by(RUN_TEST.c.id.desc()).limit(1)).first()
    return _test(row) if row else None


def last_test(tx: Tx, club: ClubId) -> RunTestRow | None:
    """Return the run-time test that was begun last."""
    wanted = sa.select(RUN_TEST).where(RUN_TEST.c.club_id == club)
    row = tx.execute(wanted.order_by(RUN_TEST.c.id.desc()).limit(1)).first()
    return _test(row) if row else None


def start_test(tx: Tx, club: ClubId, kits: Iterable[KitId], now: datetime) -> None:
    """Begin a run-time test of these kits."""
    tx.execute(sa.insert(RUN_TEST).values(club_id=club, started_at=now, kits=list(kits)))


def end_test(tx: Tx, club: ClubId, number: int, now: datetime | None) -> None:
    """End a run-time test, or (None) go on with it."""
    mine = (RUN_TEST.c.club_id == club, RUN_TEST.c.id == number)
    tx.execute(sa.update(RUN_TEST).where(*mine).values(ended_at=now))


def _test(row: Any) -> RunTestRow:
    return RunTestRow(row.id, row.started_at, row.ended_at, tuple(map(KitId, row.kits)))
