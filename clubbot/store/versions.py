"""Which software is on the units and tablets, by the ledger."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa

from clubbot.rules.ledger import EntryKind
from clubbot.rules.model import ClubId, ItemId, ItemKind, KitId
from clubbot.rules.versions import SAID, On, Thing, on_all
from clubbot.store import ledger
from clubbot.store.engine import Tx
from clubbot.store.tables import ITEM

_KINDS = (*SAID, EntryKind.FITTED, EntryKind.TAKEN_OFF)


def on(tx: Tx, club: ClubId, kits: Iterable[KitId]) -> dict[tuple[KitId, Thing], On]:
    """Return what is on the unit and the tablet of each of these kits."""
    rows = tx.execute(sa.select(ITEM.c.id, ITEM.c.kind).where(ITEM.c.club_id == club))
    kinds = {ItemId(row.id): ItemKind(row.kind) for row in rows}
    return on_all(ledger.said(tx, club, _KINDS), kinds, kits)


def of_items(tx: Tx, club: ClubId) -> dict[ItemId, str]:
    """Return the version that was last noted of each item itself."""
    entries = ledger.of_items(tx, club, SAID)
    return {each.item: each.detail.note for each in entries if each.item is not None}
