"""What set-up says of a club's equipment: its kit type's contents, its chargers, its labels."""

from __future__ import annotations

from collections.abc import Sequence

import sqlalchemy as sa

from clubbot.rules.kit_templates import Edit, Template
from clubbot.rules.model import ClubId, KitId, KitTypeId
from clubbot.store.engine import Tx
from clubbot.store.tables import CHARGER, KIT, KIT_TYPE, PART


def take_template(tx: Tx, club: ClubId, kit_type: KitTypeId, template: Template) -> None:
    """Give a kit type a template's name, run time and contents; what is listed beside it stays."""
    edit_type(tx, club, kit_type, Edit(template.name, template.run_minutes))
    for part in template.parts:
        values = {
            "number": part.number,
            "big": part.big,
            "essential": part.essential,
            "tray": part.tray,
        }
        _put_part(tx, club, kit_type, part.name, values)


def edit_type(tx: Tx, club: ClubId, kit_type: KitTypeId, edit: Edit) -> None:
    """Change a kit type; a part of which there is none goes off the list."""
    mine = sa.and_(KIT_TYPE.c.club_id == club, KIT_TYPE.c.id == kit_type)
    others = sa.and_(KIT_TYPE.c.club_id == club, KIT_TYPE.c.id != kit_type)
    taken = {
        name.casefold() for name in tx.execute(sa.select(KIT_TYPE.c.name).where(others)).scalars()
    }
    if edit.name and edit.name.casefold() not in taken:
        tx.execute(sa.update(KIT_TYPE).where(mine).values(name=edit.name))
    if edit.run_minutes is not None:
        tx.execute(sa.update(KIT_TYPE).where(mine).values(run_minutes=edit.run_minutes))
    for name, number in edit.numbers:
        if number:
            _put_part(tx, club, kit_type, name, {"number": number})
        else:
            _drop_part(tx, club, kit_type, name)


def _put_part(
    tx: Tx, club: ClubId, kit_type: KitTypeId, name: str, values: dict[str, object]
) -> None:
    known = _part(tx, club, kit_type, name)
    if known is not None:
        tx.execute(sa.update(PART).where(PART.c.club_id == club, PART.c.id == known).values(values))
    else:
        new = {"club_id": club, "kit_type_id": kit_type, "name": name, **values}
        tx.execute(sa.insert(PART).values(new))


def _drop_part(tx: Tx, club: ClubId, kit_type: KitTypeId, name: str) -> None:
    known = _part(tx, club, kit_type, name)
    if known is not None:
        tx.execute(sa.delete(PART).where(PART.c.club_id == club, PART.c.id == known))


def _part(tx: Tx, club: ClubId, kit_type: KitTypeId, name: str) -> int | None:
    """Return the id of a part by its name, also where that is said in the plural."""
    rows = sa.select(PART.c.id, PART.c.name).where(
        PART.c.club_id == club, PART.c.kit_type_id == kit_type
    )
    by_name = {row.name.casefold(): row.id for row in tx.execute(rows)}
    said = name.casefold()
    alike = (said, said.removesuffix("s"), f"{said}s")
    return next((by_name[each] for each in alike if each in by_name), None)


def chargers(tx: Tx, club: ClubId) -> list[tuple[str, int]]:
    """Return the chargers by name with how many bays each has."""
    wanted = sa.select(CHARGER.c.name, CHARGER.c.bays).where(CHARGER.c.club_id == club)
    return [(row.name, row.bays) for row in tx.execute(wanted.order_by(CHARGER.c.id))]


def set_chargers(tx: Tx, club: ClubId, wanted: Sequence[tuple[str, int]]) -> None:
    """Replace the chargers."""
    tx.execute(sa.delete(CHARGER).where(CHARGER.c.club_id == club))
    rows = [{"club_id": club, "name": name, "bays": bays} for name, bays in wanted]
    if rows:
        tx.execute(sa.insert(CHARGER), rows)


def rename_kit(tx: Tx, club: ClubId, kit: KitId, label: str) -> None:
    """Give a kit another label; its history stays with it."""
    tx.execute(sa.update(KIT).where(KIT.c.club_id == club, KIT.c.id == kit).values(label=label))
