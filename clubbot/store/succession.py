"""What whoever takes a club over has to know and nothing else asks for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId, KitId
from clubbot.store.engine import Tx
from clubbot.store.tables import CLAIM, FAULT, GROUP_CHAT


def open_claims(tx: Tx, club: ClubId) -> list[tuple[FaultId, datetime, date | None]]:
    """Return the claims that wait for an answer: (fault, sent at, promised day), oldest first."""
    found = sa.select(CLAIM.c.fault_id, CLAIM.c.sent_at, CLAIM.c.promised_on).where(
        CLAIM.c.club_id == club, CLAIM.c.ended_at.is_(None)
    )
    return [
        (FaultId(row.fault_id), row.sent_at, row.promised_on)
        for row in tx.execute(found.order_by(CLAIM.c.sent_at, CLAIM.c.id))
    ]


def repeated(tx: Tx, club: ClubId, since: datetime) -> dict[KitId, list[tuple[str, int]]]:
    """Return which symptoms a kit has had more than once since then, and how often."""
    count = sa.func.count()
    found = (
        sa.select(FAULT.c.kit_id, FAULT.c.symptom, count.label("times"))
        .where(
            FAULT.c.club_id == club,
            FAULT.c.kit_id.is_not(None),
            FAULT.c.reported_at >= since,
            FAULT.c.symptom != "unclear",
            sa.not_(FAULT.c.mistaken),
        )
        .group_by(FAULT.c.kit_id, FAULT.c.symptom)
        .having(count > 1)
        .order_by(FAULT.c.kit_id, count.desc(), FAULT.c.symptom)
    )
    again: dict[KitId, list[tuple[str, int]]] = {}
    for row in tx.execute(found):
        again.setdefault(KitId(row.kit_id), []).append((row.symptom, row.times))
    return again


def groups(tx: Tx, club: ClubId) -> Sequence[str]:
    """Return the titles of the groups that the club is linked to."""
    found = sa.select(GROUP_CHAT.c.title).where(
        GROUP_CHAT.c.club_id == club, GROUP_CHAT.c.removed_at.is_(None)
    )
    return tx.execute(found.order_by(GROUP_CHAT.c.id)).scalars().all()
