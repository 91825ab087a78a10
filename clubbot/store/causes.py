"""What was behind faults, as far as it was found."""

from __future__ import annotations

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId
from clubbot.store.engine import Tx
from clubbot.store.tables import FAULT


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


def cause_of(tx: Tx, club: ClubId, fault: FaultId) -> str:
    """Return what is known to have been behind a fault, by its code, or nothing."""
    found = sa.select(FAULT.c.cause).where(FAULT.c.club_id == club, FAULT.c.id == fault)
    return tx.execute(found).scalar_one_or_none() or ""
