"""What ages out: photos, the words of reports, messages to children, people nobody has seen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import SQLModel

from clubbot.rules.model import ClubId, PersonId, Role
from clubbot.store import minding
from clubbot.store.engine import Store, Tx
from clubbot.store.tables import BOOKING, ENTRY, FAULT, FAULT_STEP, KIT, PERSON

_NOT_GIVEN = frozenset({"facts", "deed", "fix", "lease_until", "tries", "state", "version"})
"""Columns that say how the bot works, or what others did."""
_TELLING = 30
"""So much of a later report tells where it begins: of a long one not all is kept."""


def drop_texts(tx: Tx, club: ClubId, before: datetime) -> int:
    """Empty the words of reports whose fault was closed before that; the symptom stays."""
    closed = sa.and_(FAULT.c.club_id == club, FAULT.c.closed_at < before)
    steps = sa.and_(
        FAULT_STEP.c.club_id == club,
        FAULT_STEP.c.note != "",
        FAULT_STEP.c.fault_id.in_(sa.select(FAULT.c.id).where(closed)),
    )
    tx.execute(sa.update(FAULT_STEP).where(steps).values(note=""))
    worded = sa.and_(closed, FAULT.c.said != "")
    return int(tx.execute(sa.update(FAULT).where(worded).values(said="")).rowcount)


def unseen(tx: Tx, club: ClubId, before: date) -> list[PersonId]:
    """Return who has an account and was last seen, let in or heard of before that day.

    The last leader is never among them.
    """
    known = minding.seen(tx, club)
    rows = tx.execute(
        sa.select(PERSON).where(
            PERSON.c.club_id == club, PERSON.c.left_at.is_(None), PERSON.c.telegram_id.is_not(None)
        )
    ).all()
    acted = _acted(tx, club)
    gone = [
        row
        for row in rows
        if max(
            known.get(row.id, date.min),
            row.chosen_at.date(),
            row.joined_at.date(),
            acted.get(row.id, date.min),
        )
        < before
    ]
    leaders = [row.id for row in rows if row.role == Role.LEADER]
    lost = {row.id for row in gone}
    if leaders and lost.issuperset(leaders):
        lost -= set(leaders)
    return [PersonId(row.id) for row in gone if row.id in lost]


def _acted(tx: Tx, club: ClubId) -> dict[int, date]:
    """Return the day of each person's last entry, booking or report."""
    found: dict[int, date] = {}
    for table, by, at in (
        (ENTRY, ENTRY.c.said_by, ENTRY.c.said_at),
        (BOOKING, BOOKING.c.booked_by, BOOKING.c.booked_at),
        (FAULT, FAULT.c.reported_by, FAULT.c.reported_at),
    ):
        newest = sa.select(by, sa.func.max(at)).where(table.c.club_id == club, by.is_not(None))
        for person, moment in tx.execute(newest.group_by(by)):
            found[person] = max(found.get(person, date.min), moment.date())
    return found


def all_about(tx: Tx, club: ClubId, person: PersonId, account: int) -> dict[str, Any]:
    """Return every row of a club that points to a person, by table, and their own."""
    found: dict[str, Any] = {
        "account": account,
        "kit labels by number": {
            str(row.id): row.label
            for row in tx.execute(sa.select(KIT).where(KIT.c.club_id == club))
        },
    }
    own = sa.select(PERSON).where(PERSON.c.club_id == club, PERSON.c.id == person)
    found["person"] = [_given(row) for row in tx.execute(own)]
    for table in SQLModel.metadata.sorted_tables:
        columns = [
            column
            for key in table.foreign_key_constraints
            if key.referred_table is PERSON
            for column in key.columns
            if column.name != "club_id"
        ]
        if columns:
            mine = sa.or_(*(column == person for column in columns))
            rows = tx.execute(sa.select(table).where(table.c.club_id == club, mine)).all()
            if rows:
                about = [_given(row) for row in rows]
                if table is FAULT:
                    _without_others(tx, club, about)
                found[table.name.replace("_", " ")] = about
    return found


def _without_others(tx: Tx, club: ClubId, reports: Sequence[dict[str, Any]]) -> None:
    """Leave of each report what it said itself: later ones are joined to it, in others' words."""
    worded = {report["id"]: report for report in reports if "said" in report}
    later = sa.select(FAULT_STEP.c.fault_id, FAULT_STEP.c.note).where(
        FAULT_STEP.c.club_id == club,
        FAULT_STEP.c.fault_id.in_(worded),
        FAULT_STEP.c.what == "again",
    )
    for fault, note in tx.execute(later):
        said = worded[fault]["said"]
        worded[fault]["said"] = said.partition(f" / {note[:_TELLING]}")[0]


def _given(row: Any) -> dict[str, Any]:
    return {
        name: value if isinstance(value, int | list | dict | None) else str(value)
        for name, value in row._mapping.items()
        if name not in _NOT_GIVEN and value not in (None, "")
    }


def wipe(store: Store) -> None:
    """Leave nothing of what was deleted in the journal beside a SQLite file."""
    if store.sqlite:
        with store.engine.connect() as connection:
            raw: Any = connection.connection.driver_connection
            connection.rollback()
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
