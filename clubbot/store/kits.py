"""Kits with their positions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa

from clubbot.rules.ledger import Position
from clubbot.rules.model import ClubId, Kit, KitId, KitTypeId
from clubbot.rules.results import KitRef
from clubbot.store.engine import Tx
from clubbot.store.ledger import cached
from clubbot.store.remembering import remembered
from clubbot.store.tables import CLUB, KIT, POSITION


@dataclass(frozen=True, slots=True)
class KitNow:
    """A kit and where it stands."""

    kit: Kit
    position: Position

    @property
    def ref(self) -> KitRef:
        return KitRef(self.kit.id, self.kit.label)


def label_order(label: str) -> tuple[int, int, str]:
    """Sort labels as people do: 2 before 10, A before B."""
    return (0, int(label), "") if label.isdecimal() else (1, 0, label.casefold())


@remembered(KIT, POSITION)
def kits(tx: Tx, club: ClubId) -> Mapping[KitId, KitNow]:
    """Return the club's kits with their positions, in the order of their labels."""
    columns = (KIT.c.id, KIT.c.label, KIT.c.kit_type_id, KIT.c.gives)
    found = tx.execute(sa.select(*columns).where(KIT.c.club_id == club)).all()
    at = {
        subject[1]: position
        for subject, position in cached(tx, club).items()
        if subject[0] == "kit"
    }
    return {
        row.id: KitNow(
            Kit(row.id, row.label, row.kit_type_id, row.gives), at.get(row.id, Position())
        )
        for row in sorted(found, key=lambda row: label_order(row.label))
    }


def add(tx: Tx, club: ClubId, kit_type: KitTypeId, labels: Iterable[str]) -> None:
    """Add kits with these labels."""
    rows = [{"club_id": club, "label": label, "kit_type_id": kit_type} for label in labels]
    if rows:
        tx.execute(sa.insert(KIT), rows)


def keep_gives(tx: Tx, club: ClubId, gives: Mapping[KitId, int | None]) -> None:
    """Keep what kits' batteries give, where that is something else by now; None: as their type."""
    before = {kit: now.kit.gives for kit, now in kits(tx, club).items()}
    seq = sa.select(CLUB.c.last_seq).where(CLUB.c.id == club).scalar_subquery()
    for kit, minutes in gives.items():
        if kit in before and before[kit] != minutes:
            mine = sa.and_(KIT.c.club_id == club, KIT.c.id == kit)
            tx.execute(sa.update(KIT).where(mine).values(gives=minutes, gives_seq=seq))


def late(tx: Tx, club: ClubId, now: datetime, grace: timedelta) -> set[KitId]:
    """Return the kits that are out and were due as long ago as the grace time, or longer."""
    found = sa.select(POSITION.c.subject_id).where(
        POSITION.c.club_id == club, POSITION.c.subject == "kit", POSITION.c.due <= now - grace
    )
    return set(tx.execute(found).scalars())
