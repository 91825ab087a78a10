"""Units, batteries, tablets and chargers: which there are, and which is fitted to which kit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from clubbot.rules.fitting import LISTED, Stay, stays
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import ClubId, ItemId, ItemKind, KitId
from clubbot.store.engine import Tx
from clubbot.store.ledger import Draft, cached, of_items
from clubbot.store.tables import ITEM


@dataclass(frozen=True, slots=True)
class Thing:
    """An item with where it stands: `kit` is the kit that it is fitted to, `serial` its name."""

    id: ItemId
    kind: ItemKind
    serial: str
    kit: KitId | None
    since: datetime | None
    use: Use


def things(tx: Tx, club: ClubId, kind: ItemKind | None = None) -> list[Thing]:
    """Return the club's items, of one kind or of all, in the order in which they were listed."""
    wanted = sa.select(ITEM.c.id, ITEM.c.kind, ITEM.c.serial).where(ITEM.c.club_id == club)
    if kind is not None:
        wanted = wanted.where(ITEM.c.kind == kind.value)
    rows = tx.execute(wanted.order_by(ITEM.c.id)).all()
    at = cached(tx, club, [("item", row.id) for row in rows]) if rows else {}
    found: list[Thing] = []
    for row in rows:
        position = at.get(("item", row.id))
        found.append(
            Thing(
                ItemId(row.id),
                ItemKind(row.kind),
                row.serial,
                position.kit if position else None,
                position.last[0] if position and position.last else None,
                position.use if position else Use.IN_USE,
            )
        )
    return found


def add(tx: Tx, club: ClubId, kind: ItemKind, serial: str = "") -> ItemId:
    """List an item of which nothing but its kind, and what is written on it, is known."""
    values = {"club_id": club, "kind": kind.value, "serial": serial}
    return ItemId(tx.execute(sa.insert(ITEM).values(values).returning(ITEM.c.id)).scalar_one())


def bought_like(tx: Tx, club: ClubId, item: ItemId, old: ItemId) -> None:
    """Note that an item came for an old one, and has its price, purchase and warranty."""
    columns = (ITEM.c.price_cents, ITEM.c.bought_on, ITEM.c.warranty_until)
    row = tx.execute(sa.select(*columns).where(ITEM.c.club_id == club, ITEM.c.id == old)).one()
    mine = sa.and_(ITEM.c.club_id == club, ITEM.c.id == item)
    tx.execute(sa.update(ITEM).where(mine).values(row._asdict()))


def put_in(tx: Tx, club: ClubId, kit: KitId, item: ItemId) -> list[Draft]:
    """Return the entries that fit an item to a kit, in place of the kit's own of that kind.

    It is taken off the kit that it was in. Nothing is due where it is there already.
    """
    known = things(tx, club)
    mine = next(each for each in known if each.id == item)
    if mine.kit == kit:
        return []
    gone = [each for each in known if each.kind is mine.kind and each.kit == kit]
    drafts = [Draft(EntryKind.TAKEN_OFF, kit=kit, item=each.id) for each in gone]
    if mine.kit is not None:
        drafts.append(Draft(EntryKind.TAKEN_OFF, kit=mine.kit, item=item))
    return [*drafts, Draft(EntryKind.FITTED, kit=kit, item=item)]


def listed_in(kit: KitId, item: ItemId) -> Draft:
    """Return the entry by which an item is listed in a kit that it has been in before."""
    return Draft(EntryKind.FITTED, kit=kit, item=item, detail=Detail(note=LISTED))


def listed_before(tx: Tx, club: ClubId, kit: KitId, item: ItemId) -> list[Draft]:
    """Return the entries that put right a fitting: the item had been in the kit before."""
    fitted = of_items(tx, club, (EntryKind.FITTED,))
    last = next(each for each in reversed(fitted) if each.item == item and each.kit == kit)
    wrong = Draft(EntryKind.CORRECTED, kit=kit, item=item, cancels=last.seq)
    return [wrong, listed_in(kit, item)]


def all_stays(tx: Tx, club: ClubId) -> Mapping[ItemKind, Sequence[Stay]]:
    """Return for each kind of item who was in which kit when."""
    kinds = {each.id: each.kind for each in things(tx, club)}
    if not kinds:
        return {}
    entries = of_items(tx, club, (EntryKind.FITTED, EntryKind.TAKEN_OFF))
    return {
        kind: stays(each for each in entries if each.item and kinds.get(each.item) is kind)
        for kind in set(kinds.values())
    }
