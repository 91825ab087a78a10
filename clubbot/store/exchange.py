"""All that a club has, as the rows of files, and changes of it written back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from clubbot.rules.exchange import (
    Change,
    Contents,
    ItemRow,
    KitRow,
    KitTypeRow,
    PartRow,
    SpareRow,
    TeamRow,
)
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import ClubId, ItemId, KitId, KitTypeId
from clubbot.rules.version_numbers import older
from clubbot.store import stock, versions
from clubbot.store.engine import Tx
from clubbot.store.fitting import listed_in
from clubbot.store.kits import label_order
from clubbot.store.ledger import Draft
from clubbot.store.tables import ITEM, KIT, KIT_TYPE, PART, PLACE, POSITION, TEAM


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a club has, and the id behind each of its rows, by kind and place."""

    contents: Contents
    ids: dict[str, list[int]]


def load(tx: Tx, club: ClubId) -> Loaded:
    """Return all that a club has, in an order that stays."""
    types = tx.execute(_of(KIT_TYPE, club).order_by(KIT_TYPE.c.id)).all()
    parts = tx.execute(_of(PART, club).order_by(PART.c.kit_type_id, PART.c.id)).all()
    places = {row.id: row.name for row in tx.execute(_of(PLACE, club))}
    kits = sorted(tx.execute(_of(KIT, club)).all(), key=lambda row: label_order(row.label))
    items = tx.execute(_of(ITEM, club).order_by(ITEM.c.id)).all()
    teams = tx.execute(
        _of(TEAM, club).where(TEAM.c.removed_at.is_(None)).order_by(sa.func.lower(TEAM.c.name))
    ).all()
    named = {row.id: row.name for row in types}
    labels = {row.id: row.label for row in kits}
    shelf = {key: had.shelf for key, had in stock.books(tx, club).stock.items()}
    fitted = _fitted(tx, club)
    noted = versions.of_items(tx, club)
    contents = Contents(
        tuple(KitTypeRow(row.name, row.run_minutes) for row in types),
        tuple(_part(row, named[row.kit_type_id]) for row in parts),
        tuple(
            KitRow(row.label, named[row.kit_type_id], places.get(row.place_id, "")) for row in kits
        ),
        tuple(
            _item(row, labels.get(fitted.get(row.id, 0), ""), noted.get(row.id, ""))
            for row in items
        ),
        tuple(TeamRow(row.name, row.same_kit) for row in teams),
        tuple(
            SpareRow(named[r.kit_type_id], r.name, shelf.get((r.kit_type_id, r.name.casefold()), 0))
            for r in parts
        ),
    )
    rows = {"kit_types": types, "parts": parts, "kits": kits, "items": items}
    rows |= {"teams": teams, "spares": parts}
    return Loaded(contents, {kind: [row.id for row in found] for kind, found in rows.items()})


def _of(table: sa.Table, club: ClubId) -> sa.Select[Any]:
    return sa.select(table).where(table.c.club_id == club)


def _fitted(tx: Tx, club: ClubId) -> dict[int, int]:
    found = sa.select(POSITION.c.subject_id, POSITION.c.kit_id).where(
        POSITION.c.club_id == club, POSITION.c.subject == "item", POSITION.c.kit_id.is_not(None)
    )
    return {row.subject_id: row.kit_id for row in tx.execute(found)}


def _part(row: Any, kit_type: str) -> PartRow:
    where = row.tray, row.compartment or ""
    more = row.weight_mg, row.spread_mg, row.pack, row.price_cents
    return PartRow(kit_type, row.name, row.number, row.big, row.essential, *where, *more)


def _item(row: Any, label: str, version: str) -> ItemRow:
    dates = row.bought_on, row.warranty_until
    return ItemRow(row.kind, row.serial, label, row.price_cents, *dates, version)


def carry_out(tx: Tx, club: ClubId, loaded: Loaded, changes: tuple[Change, ...]) -> list[Draft]:
    """Write the changes down; return what of them the ledger has to be told.

    They come in the order in which they build on one another.
    """
    return _Writing(tx, club, loaded).all(changes)


class _Writing:
    """One import, with the ids of what it has made so far."""

    def __init__(self, tx: Tx, club: ClubId, loaded: Loaded) -> None:
        self._tx, self._club, self._ids = tx, club, loaded.ids
        contents = loaded.contents
        self._types = _by_key(contents.kit_types, loaded.ids["kit_types"])
        self._spelled = {part.key: part.part for part in contents.parts}
        self._kits = _by_key(contents.kits, loaded.ids["kits"])
        self._drafts: list[Draft] = []

    def all(self, changes: tuple[Change, ...]) -> list[Draft]:
        for change in changes:
            row = change.after
            match row:
                case KitTypeRow():
                    values = {"name": row.kit_type, "run_minutes": row.run_minutes}
                    self._types[row.key] = self._put(KIT_TYPE, change, values)
                case PartRow():
                    self._put(PART, change, self._part(row))
                    self._spelled[row.key] = row.part
                case KitRow():
                    self._kits[row.key] = self._put(KIT, change, self._kit(row))
                case ItemRow():
                    self._item(change, row)
                case TeamRow():
                    values = {"name": row.team, "same_kit": row.same_kit}
                    self._put(TEAM, change, values)
                case SpareRow():
                    self._shelf(row)
        return self._drafts

    def _put(self, table: sa.Table, change: Change, values: dict[str, Any]) -> int:
        if change.place is None:
            new = sa.insert(table).values(club_id=self._club, **values).returning(table.c.id)
            return int(self._tx.execute(new).scalar_one())
        number = self._ids[change.kind][change.place]
        self._tx.execute(
            sa.update(table)
            .where(table.c.club_id == self._club, table.c.id == number)
            .values(**values)
        )
        return number

    def _part(self, row: PartRow) -> dict[str, Any]:
        return {
            "kit_type_id": self._types[row.kit_type.casefold(),],
            "name": row.part,
            "number": row.number,
            "big": row.big,
            "essential": row.essential,
            "tray": row.tray,
            "compartment": row.compartment or None,
            "weight_mg": row.weight_mg,
            "spread_mg": row.spread_mg,
            "pack": row.pack,
            "price_cents": row.price_cents,
        }

    def _kit(self, row: KitRow) -> dict[str, Any]:
        kit_type = self._types[row.kit_type.casefold(),]
        return {"label": row.label, "kit_type_id": kit_type, "place_id": self._place(row.place)}

    def _shelf(self, row: SpareRow) -> None:
        """A number of spares is what somebody counted on the shelf."""
        kit_type = KitTypeId(self._types[row.kit_type.casefold(),])
        detail = Detail(parts=((self._spelled[row.key], row.number),))
        self._drafts.append(Draft(EntryKind.SHELF_COUNTED, kit_type=kit_type, detail=detail))

    def _place(self, name: str) -> int | None:
        if not name:
            return None
        found = sa.select(PLACE.c.id).where(PLACE.c.club_id == self._club, PLACE.c.name == name)
        known = self._tx.execute(found).scalar_one_or_none()
        if known is not None:
            return int(known)
        new = sa.insert(PLACE).values(club_id=self._club, name=name).returning(PLACE.c.id)
        return int(self._tx.execute(new).scalar_one())

    def _item(self, change: Change, row: ItemRow) -> None:
        values = {
            "kind": row.kind,
            "serial": row.serial,
            "price_cents": row.price_cents,
            "bought_on": row.bought_on,
            "warranty_until": row.warranty_until,
        }
        item = ItemId(self._put(ITEM, change, values))
        before = change.before.kit if isinstance(change.before, ItemRow) else ""
        if before.casefold() != row.kit.casefold():
            self._moved(item, before, row.kit)
        had = change.before.version if isinstance(change.before, ItemRow) else ""
        if row.version != had:
            kind = EntryKind.WENT_BACK if older(row.version, had) else EntryKind.VERSION
            kit = KitId(self._kits[row.kit.casefold(),]) if row.kit else None
            self._drafts.append(Draft(kind, kit=kit, item=item, detail=Detail(note=row.version)))

    def _moved(self, item: ItemId, before: str, after: str) -> None:
        if before:
            old = KitId(self._kits[before.casefold(),])
            self._drafts.append(Draft(EntryKind.TAKEN_OFF, kit=old, item=item))
        if after:
            new = KitId(self._kits[after.casefold(),])
            self._drafts.append(listed_in(new, item))


def _by_key(rows: tuple[Any, ...], ids: list[int]) -> dict[tuple[object, ...], int]:
    return {row.key: number for row, number in zip(rows, ids, strict=True)}
