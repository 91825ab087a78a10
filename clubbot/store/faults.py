"""Faults and their photos."""

from __future__ import annotations

from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId, ItemId, KitId, PersonId
from clubbot.rules.results import CheckDone, FaultLine, KitRef
from clubbot.store.engine import Tx
from clubbot.store.tables import FAULT, FAULT_CHECK, FAULT_PHOTO, ITEM, KIT


def still_open(tx: Tx, club: ClubId, kit: KitId | None = None) -> list[FaultLine]:
    """Return the faults that aren't closed, of one kit or of all, oldest first."""
    found = (
        sa.select(FAULT, KIT.c.label)
        .outerjoin_from(
            FAULT, KIT, sa.and_(KIT.c.club_id == FAULT.c.club_id, KIT.c.id == FAULT.c.kit_id)
        )
        .where(FAULT.c.club_id == club, FAULT.c.state != "closed")
        .order_by(FAULT.c.number)
    )
    if kit is not None:
        found = found.where(FAULT.c.kit_id == kit)
    rows = tx.execute(found).all()
    checked = _checks(tx, club, [row.id for row in rows]) if rows else {}
    return [
        FaultLine(
            id=row.id,
            number=row.number,
            kit=KitRef(row.kit_id, row.label) if row.kit_id is not None else None,
            symptom=row.symptom,
            danger=row.danger,
            said=row.said,
            reported_at=row.reported_at,
            checked=tuple(checked.get(row.id, ())),
            at_supplier=row.state == "at the supplier",
        )
        for row in rows
    ]


def _checks(tx: Tx, club: ClubId, faults: list[FaultId]) -> dict[FaultId, list[CheckDone]]:
    """Return the checks done on faults, the first one first."""
    found = (
        sa.select(FAULT_CHECK)
        .where(FAULT_CHECK.c.club_id == club, FAULT_CHECK.c.fault_id.in_(faults))
        .order_by(FAULT_CHECK.c.id)
    )
    checks: dict[FaultId, list[CheckDone]] = {}
    for row in tx.execute(found):
        checks.setdefault(row.fault_id, []).append(CheckDone(row.code, row.outcome, row.at))
    return checks


def checked(tx: Tx, club: ClubId, fault: FaultId, code: str, outcome: str, now: datetime) -> None:
    """Note what came of a check; said again, the later answer counts."""
    same = sa.and_(
        FAULT_CHECK.c.club_id == club, FAULT_CHECK.c.fault_id == fault, FAULT_CHECK.c.code == code
    )
    changed = tx.execute(sa.update(FAULT_CHECK).where(same).values(outcome=outcome, at=now))
    if not changed.rowcount:
        tx.execute(
            sa.insert(FAULT_CHECK).values(
                club_id=club, fault_id=fault, code=code, outcome=outcome, at=now
            )
        )


def blame(tx: Tx, club: ClubId, fault: FaultId, cause: str) -> None:
    """Note what was behind a fault; the club's next faults are judged by it."""
    mine = sa.and_(FAULT.c.club_id == club, FAULT.c.id == fault)
    tx.execute(sa.update(FAULT).where(mine).values(cause=cause))


def causes_seen(tx: Tx, club: ClubId, symptom: str) -> dict[str, int]:
    """Return how often each cause was behind the club's closed faults of a symptom."""
    found = (
        sa.select(FAULT.c.cause, sa.func.count())
        .where(
            FAULT.c.club_id == club,
            FAULT.c.symptom == symptom,
            FAULT.c.state == "closed",
            FAULT.c.cause != "",
        )
        .group_by(FAULT.c.cause)
    )
    return {cause: count for cause, count in tx.execute(found)}


def reporter(tx: Tx, club: ClubId, fault: FaultId) -> PersonId | None:
    """Return who reported a fault, where that is known."""
    found = sa.select(FAULT.c.reported_by).where(FAULT.c.club_id == club, FAULT.c.id == fault)
    person: PersonId | None = tx.execute(found).scalar_one_or_none()
    return person


def add(
    tx: Tx,
    club: ClubId,
    *,
    kit: KitId | None,
    symptom: str,
    danger: bool,
    said: str,
    reported_by: PersonId | None,
    now: datetime,
) -> FaultLine:
    """Open a fault; people will know it by the next number."""
    taken = sa.select(sa.func.coalesce(sa.func.max(FAULT.c.number), 0) + 1)
    made = tx.execute(
        sa.insert(FAULT)
        .values(
            club_id=club,
            number=taken.where(FAULT.c.club_id == club).scalar_subquery(),
            kit_id=kit,
            symptom=symptom,
            danger=danger,
            said=said[:600],
            state="open",
            reported_by=reported_by,
            reported_at=now,
            fix="",
            cause="",
        )
        .returning(FAULT.c.id)
    )
    number = made.scalar_one()
    return next(line for line in still_open(tx, club, kit) if line.id == number)


def alarms_by(tx: Tx, club: ClubId, person: PersonId, since: datetime) -> int:
    """Return how often a person has reported danger since then, whatever the number of kits."""
    reports = (
        sa.select(FAULT.c.reported_at, FAULT.c.said)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.reported_by == person,
            FAULT.c.danger,
            FAULT.c.reported_at > since,
        )
        .distinct()
    )
    return len(tx.execute(reports).all())


def join(tx: Tx, club: ClubId, fault: FaultId, said: str) -> None:
    """Add a further report to an open fault, as far as there is room."""
    tx.execute(
        sa.update(FAULT)
        .where(FAULT.c.club_id == club, FAULT.c.id == fault)
        .values(said=sa.func.substr(FAULT.c.said + sa.literal(f" / {said}"), 1, 600))
    )


def last_of(tx: Tx, club: ClubId, person: PersonId, since: datetime) -> tuple[FaultId, int] | None:
    """Return the id and number of the open fault that a person reported last since then."""
    row = tx.execute(
        sa.select(FAULT.c.id, FAULT.c.number)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.reported_by == person,
            FAULT.c.reported_at > since,
            FAULT.c.state != "closed",
        )
        .order_by(FAULT.c.number.desc())
        .limit(1)
    ).first()
    return (row.id, row.number) if row else None


def close(tx: Tx, club: ClubId, fault: FaultId, fix: str, now: datetime) -> None:
    """Close a fault with what was done."""
    tx.execute(
        sa.update(FAULT)
        .where(FAULT.c.club_id == club, FAULT.c.id == fault)
        .values(state="closed", closed_at=now, fix=fix[:300])
    )


def closed_since(
    tx: Tx, club: ClubId, kit: KitId, symptom: str, since: datetime
) -> tuple[FaultId, str] | None:
    """Return the last fault of a kit and symptom closed since then, and its fix."""
    row = tx.execute(
        sa.select(FAULT.c.id, FAULT.c.fix)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.kit_id == kit,
            FAULT.c.symptom == symptom,
            FAULT.c.state == "closed",
            FAULT.c.closed_at >= since,
            sa.not_(FAULT.c.danger),
        )
        .order_by(FAULT.c.closed_at.desc(), FAULT.c.id.desc())
        .limit(1)
    ).first()
    return (row.id, row.fix) if row else None


def reopen(tx: Tx, club: ClubId, fault: FaultId, said: str) -> None:
    """Open a fault again with its history; what seemed to help counts as no change."""
    join(tx, club, fault, said)
    mine = sa.and_(FAULT.c.club_id == club, FAULT.c.id == fault)
    tx.execute(sa.update(FAULT).where(mine).values(state="open", closed_at=None, fix="", cause=""))
    helped = sa.and_(
        FAULT_CHECK.c.club_id == club,
        FAULT_CHECK.c.fault_id == fault,
        FAULT_CHECK.c.outcome == "worked",
    )
    tx.execute(sa.update(FAULT_CHECK).where(helped).values(outcome="same"))


def wait_for_supplier(tx: Tx, club: ClubId, fault: FaultId) -> None:
    """Note that an open fault waits for the supplier."""
    mine = sa.and_(FAULT.c.club_id == club, FAULT.c.id == fault)
    tx.execute(sa.update(FAULT).where(mine).values(state="at the supplier"))


def pictures(tx: Tx, club: ClubId, fault: FaultId) -> tuple[int, int]:
    """Return how many photos and how many videos are kept with a fault."""
    found = sa.select(FAULT_PHOTO.c.kind).where(
        FAULT_PHOTO.c.club_id == club, FAULT_PHOTO.c.fault_id == fault
    )
    kinds = list(tx.execute(found).scalars())
    return kinds.count("photo"), kinds.count("video")


def purchase_of(
    tx: Tx, club: ClubId, items: list[ItemId]
) -> dict[ItemId, tuple[date | None, date | None]]:
    """Return when items were bought and until when their warranty runs, as far as it is noted."""
    found = sa.select(ITEM.c.id, ITEM.c.bought_on, ITEM.c.warranty_until).where(
        ITEM.c.club_id == club, ITEM.c.id.in_(items)
    )
    return {row.id: (row.bought_on, row.warranty_until) for row in tx.execute(found)}


def add_photo(
    tx: Tx, club: ClubId, fault: FaultId, file_id: str, unique_id: str, kind: str, now: datetime
) -> None:
    """Keep a photo's file id with a fault; the same photo twice is kept once."""
    known = tx.execute(
        sa.select(FAULT_PHOTO.c.id).where(
            FAULT_PHOTO.c.club_id == club,
            FAULT_PHOTO.c.fault_id == fault,
            FAULT_PHOTO.c.file_unique_id == unique_id,
        )
    ).first()
    if known is None:
        tx.execute(
            sa.insert(FAULT_PHOTO).values(
                club_id=club,
                fault_id=fault,
                file_id=file_id,
                file_unique_id=unique_id,
                kind=kind,
                at=now,
            )
        )
