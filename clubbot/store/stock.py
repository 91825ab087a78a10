"""The books of parts as the ledger and the lists have them."""

from __future__ import annotations

from datetime import datetime, timedelta

import sqlalchemy as sa

from clubbot.rules.entries import EntryKind
from clubbot.rules.model import ClubId, KitId, Window
from clubbot.rules.stock.balance import KitAt, Where, differences
from clubbot.rules.stock.books import Books, Key, keep
from clubbot.store import bookings, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import kit_types, of_kinds, of_parts
from clubbot.store.tables import ENTRY, PART


def books(tx: Tx, club: ClubId) -> Books:
    """Return where all parts are, by what stands in the ledger."""
    return keep(of_parts(tx, club), kit_types(tx, club))


def numbers(tx: Tx, club: ClubId) -> dict[Key, int]:
    """Return how many of each part belong into a tray."""
    found = sa.select(PART.c.kit_type_id, PART.c.name, PART.c.number).where(PART.c.club_id == club)
    return {(row.kit_type_id, row.name.casefold()): row.number for row in tx.execute(found)}


def fleet(tx: Tx, club: ClubId, now: datetime | None = None) -> dict[KitId, KitAt]:
    """Return where each kit is with all that is in its tray; without `now` none is kept built.

    One under a claim goes to the supplier whole, unless only a thing of it is to blame.
    """
    still_open = faults.still_open(tx, club)
    claimed = {f.kit.id for f in still_open if f.kit and f.at_supplier and not f.thing}
    kept: set[KitId] = set()
    if now is not None:
        running = bookings.between(tx, club, Window(now, now + timedelta(seconds=1)))
        kept = {kit for each in running if each.kind == "keep" for kit in each.chosen}
    found: dict[KitId, KitAt] = {}
    for kit, at in kits(tx, club).items():
        where: Where = "kept" if kit in kept else "here"
        if at.position.lost is not None:
            where = "lost"
        elif kit in claimed:
            where = "supplier"
        found[kit] = KitAt(at.kit.kit_type, where)
    return found


def moments_of_use(tx: Tx, club: ClubId, since: datetime) -> list[datetime]:
    """Return when kits went out since then."""
    given = of_kinds(tx, club, (EntryKind.GIVEN_OUT,), since)
    return [entry.happened_at for entries in given.values() for entry in entries]


def last_ordered(tx: Tx, club: ClubId) -> datetime | None:
    """Return when parts were ordered last."""
    found = sa.select(sa.func.max(ENTRY.c.happened_at)).where(
        ENTRY.c.club_id == club, ENTRY.c.kind == EntryKind.PARTS_ORDERED.value
    )
    last: datetime | None = tx.execute(found).scalar_one()
    return last


def begun(tx: Tx, club: ClubId) -> datetime | None:
    """Return when the first thing happened that the ledger knows of."""
    first = sa.select(ENTRY.c.happened_at).where(ENTRY.c.club_id == club)
    first = first.order_by(ENTRY.c.happened_at).limit(1)
    moments: list[datetime] = list(tx.execute(first).scalars())
    return moments[0] if moments else None


def audit(tx: Tx, club: ClubId) -> list[str]:
    """Keep the books anew from the ledger; return one line for each thing that is wrong."""
    missing = {kit: now.position.missing for kit, now in kits(tx, club).items()}
    return differences(books(tx, club), missing, numbers(tx, club), fleet(tx, club))
