"""What one row of each file says, and all that a club has of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, TypeAlias, get_args

SheetKind = Literal["club", "kit_types", "fleet", "items", "teams", "spares"]
SHEETS: tuple[SheetKind, ...] = get_args(SheetKind)
"""In the order in which they build on one another."""

Key: TypeAlias = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class KitTypeRow:
    kit_type: str
    run_minutes: int

    @property
    def key(self) -> Key:
        return (self.kit_type.casefold(),)


@dataclass(frozen=True, slots=True)
class PartRow:
    """Weight and spread are of one piece, in milligrams; the price is a pack's."""

    kit_type: str
    part: str
    number: int
    big: bool
    essential: bool
    tray: str
    compartment: str = ""
    weight_mg: int | None = None
    spread_mg: int | None = None
    pack: int | None = None
    price_cents: int | None = None

    @property
    def key(self) -> Key:
        return self.kit_type.casefold(), self.part.casefold()


@dataclass(frozen=True, slots=True)
class KitRow:
    label: str
    kit_type: str
    place: str

    @property
    def key(self) -> Key:
        return (self.label.casefold(),)


@dataclass(frozen=True, slots=True)
class ItemRow:
    """`kit` is the label of the kit that it is fitted to, or empty; so is a version not noted."""

    kind: str
    serial: str
    kit: str
    price_cents: int | None
    bought_on: date | None
    warranty_until: date | None
    version: str = ""

    @property
    def key(self) -> Key:
        """An item is known by its serial; one without, by its kind and the kit it is fitted to."""
        return self.kind, self.serial, "" if self.serial else self.kit.casefold()


@dataclass(frozen=True, slots=True)
class TeamRow:
    team: str
    same_kit: bool

    @property
    def key(self) -> Key:
        return (self.team.casefold(),)


@dataclass(frozen=True, slots=True)
class SpareRow:
    """How many of a part lie on the shelf."""

    kit_type: str
    part: str
    number: int

    @property
    def key(self) -> Key:
        return self.kit_type.casefold(), self.part.casefold()


@dataclass(frozen=True, slots=True)
class ClubLine:
    """A setting of the club by the name that the file gives it, and its value."""

    setting: str
    value: str

    @property
    def key(self) -> Key:
        return (self.setting,)


Row: TypeAlias = ClubLine | KitTypeRow | PartRow | KitRow | ItemRow | TeamRow | SpareRow


@dataclass(frozen=True, slots=True)
class Contents:
    """All rows that a club has, or that some files give."""

    kit_types: tuple[KitTypeRow, ...] = ()
    parts: tuple[PartRow, ...] = ()
    kits: tuple[KitRow, ...] = ()
    items: tuple[ItemRow, ...] = ()
    teams: tuple[TeamRow, ...] = ()
    spares: tuple[SpareRow, ...] = ()
    club: tuple[ClubLine, ...] = ()

    def respelled(self, spelling: dict[tuple[str, str], str]) -> Contents:
        """Return the same with kit types, parts and labels that are pointed to spelled as known."""

        def known(what: str, name: str) -> str:
            return spelling.get((what, name.casefold()), name)

        return replace(
            self,
            parts=tuple(replace(p, kit_type=known("kit type", p.kit_type)) for p in self.parts),
            kits=tuple(replace(k, kit_type=known("kit type", k.kit_type)) for k in self.kits),
            items=tuple(replace(i, kit=known("kit", i.kit)) for i in self.items),
            spares=tuple(replace(s, kit_type=known("kit type", s.kit_type)) for s in self.spares),
        )


def keys(rows: Iterable[Row]) -> list[Key]:
    """Return each row's key, made unique by counting the rows that share it."""
    seen: Counter[Key] = Counter()
    found: list[Key] = []
    for row in rows:
        found.append((*row.key, seen[row.key]))
        seen[row.key] += 1
    return found
