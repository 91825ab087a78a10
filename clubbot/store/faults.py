"""Faults and their photos."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId, ItemId, KitId, PersonId
from clubbot.rules.results import CheckDone, FaultLine, KitRef
from clubbot.store.engine import Tx
from clubbot.store.tables import FAULT, FAULT_CHECK, ITEM, KIT, POSITION

_AT = POSITION.alias("item_at")
kit_now = sa.case((FAULT.c.item_id.is_not(None), _AT.c.kit_id), else_=FAULT.c.kit_id)
"""The kit that a fault is in now: where a thing is to blame, the kit that this is fitted to."""
whole = FAULT.outerjoin(
    _AT,
    sa.and_(
        _AT.c.club_id == FAULT.c.club_id,
        _AT.c.subject == "item",
        _AT.c.subject_id == FAULT.c.item_id,
    ),
)
_LINE = sa.select(
    FAULT, KIT.c.id.label("now_in"), KIT.c.label, ITEM.c.kind, ITEM.c.serial
).select_from(
    whole.outerjoin(
        ITEM, sa.and_(ITEM.c.club_id == FAULT.c.club_id, ITEM.c.id == FAULT.c.item_id)
    ).outerjoin(KIT, sa.and_(KIT.c.club_id == FAULT.c.club_id, KIT.c.id == kit_now))
)


def still_open(tx: Tx, club: ClubId, kit: KitId | None = None) -> list[FaultLine]:
    """Return the faults that aren't closed, of one kit or of all, oldest first."""
    found = _LINE.where(FAULT.c.club_id == club, FAULT.c.state != "closed")
    if kit is not None:
        found = found.where(kit_now == kit)
    return _lines(tx, club, found)


def by_number(tx: Tx, club: ClubId, number: int) -> FaultLine | None:
    """Return a fault by its number, closed or not."""
    found = _lines(tx, club, _LINE.where(FAULT.c.club_id == club, FAULT.c.number == number))
    return found[0] if found else None


def by_id(tx: Tx, club: ClubId, fault: FaultId) -> FaultLine | None:
    """Return a fault, closed or not."""
    found = _lines(tx, club, _LINE.where(FAULT.c.club_id == club, FAULT.c.id == fault))
    return found[0] if found else None


def _lines(tx: Tx, club: ClubId, found: sa.Select[Any]) -> list[FaultLine]:
    rows = tx.execute(found.order_by(FAULT.c.number)).all()
    checked = _checks(tx, club, [row.id for row in rows]) if rows else {}
    return [
        FaultLine(
            id=row.id,
            number=row.number,
            kit=KitRef(row.now_in, row.label) if row.now_in is not None else None,
            symptom=row.symptom,
            danger=row.danger,
            said=row.said,
            reported_at=row.reported_at,
            checked=tuple(checked.get(row.id, ())),
            at_supplier=row.state == "at the supplier",
            thing=row.kind or "",
            serial=row.serial or "",
            watched=row.watched,
            closed_at=row.closed_at,
            fix=row.fix,
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


def change(tx: Tx, club: ClubId, fault: FaultId, **values: Any) -> None:
    """Change a fault's own columns.

    By its `cause` the club's next faults are judged; its `item_id` is the thing to blame.
    """
    mine = sa.and_(FAULT.c.club_id == club, FAULT.c.id == fault)
    tx.execute(sa.update(FAULT).where(mine).values(**values))


def item_of(tx: Tx, club: ClubId, fault: FaultId) -> ItemId | None:
    """Return the thing to blame for a fault, where one is."""
    found = sa.select(FAULT.c.item_id).where(FAULT.c.club_id == club, FAULT.c.id == fault)
    item: ItemId | None = tx.execute(found).scalar_one_or_none()
    return item


def stopped_since(
    tx: Tx, club: ClubId, symptoms: Iterable[str], since: datetime
) -> list[tuple[KitId, str, FaultLine]]:
    """Return the faults of these kinds since then, each with its kit of then and its cause."""
    of_kinds = FAULT.c.symptom.in_(list(symptoms))
    found = _LINE.where(
        FAULT.c.club_id == club, of_kinds, FAULT.c.reported_at > since, FAULT.c.kit_id.is_not(None)
    ).where(sa.not_(FAULT.c.mistaken), sa.not_(FAULT.c.danger))
    lines = {line.id: line for line in _lines(tx, club, found)}
    if not lines:
        return []
    more = sa.select(FAULT.c.id, FAULT.c.kit_id, FAULT.c.cause).where(
        FAULT.c.club_id == club, FAULT.c.id.in_(list(lines))
    )
    return [(row.kit_id, row.cause, lines[row.id]) for row in tx.execute(more)]


def reported_in(tx: Tx, club: ClubId, fault: FaultId) -> KitId | None:
    """Return the kit that a fault was reported of, whatever is in it now."""
    found = sa.select(FAULT.c.kit_id).where(FAULT.c.club_id == club, FAULT.c.id == fault)
    kit: KitId | None = tx.execute(found).scalar_one_or_none()
    return kit


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
    deed: str = "",
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
            watched=False,
            deed=deed[:40],
            mistaken=False,
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


def take_back(tx: Tx, club: ClubId, deed: str, now: datetime) -> tuple[int, ...]:
    """Close the faults that an action opened, since it is taken back; return their numbers.

    Danger stays open, and so does what somebody has begun to look into.
    """
    begun = sa.exists().where(FAULT_CHECK.c.club_id == club, FAULT_CHECK.c.fault_id == FAULT.c.id)
    closed = tx.execute(
        sa.update(FAULT)
        .where(
            FAULT.c.club_id == club,
            FAULT.c.deed == deed,
            FAULT.c.state == "open",
            sa.not_(FAULT.c.danger),
            ~begun,
        )
        .values(state="closed", closed_at=now, mistaken=True)
        .returning(FAULT.c.number)
    )
    return tuple(sorted(closed.scalars()))


def closed_since(
    tx: Tx, club: ClubId, kit: KitId, symptom: str | None, since: datetime
) -> tuple[FaultId, str] | None:
    """Return the last fault of a kit closed since then, of this symptom or any, and its fix."""
    row = tx.execute(
        sa.select(FAULT.c.id, FAULT.c.fix)
        .select_from(whole)
        .where(
            FAULT.c.club_id == club,
            kit_now == kit,
            sa.true() if symptom is None else FAULT.c.symptom == symptom,
            FAULT.c.state == "closed",
            FAULT.c.closed_at >= since,
            sa.not_(FAULT.c.danger),
            sa.not_(FAULT.c.mistaken),
        )
        .order_by(FAULT.c.closed_at.desc(), FAULT.c.id.desc())
        .limit(1)
    ).first()
    return (row.id, row.fix) if row else None


def reopen(tx: Tx, club: ClubId, fault: FaultId, said: str) -> None:
    """Open a fault again with its history; what seemed to help counts as no change."""
    if said:
        join(tx, club, fault, said)
    change(tx, club, fault, state="open", closed_at=None, fix="", cause="", watched=False)
    helped_not(tx, club, fault)


def helped_not(tx: Tx, club: ClubId, fault: FaultId, codes: Iterable[str] | None = None) -> None:
    """Let what seemed to help count as no change: of these checks, or of all."""
    row = FAULT_CHECK.c
    helped = [row.club_id == club, row.fault_id == fault, row.outcome == "worked"]
    if codes is not None:
        helped.append(row.code.in_(list(codes)))
    tx.execute(sa.update(FAULT_CHECK).where(*helped).values(outcome="same"))
