"""What some files would change of what a club has: nothing is ever taken away by a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from clubbot.rules.exchange.rows import (
    ClubLine,
    Contents,
    ItemRow,
    Key,
    KitRow,
    KitTypeRow,
    PartRow,
    Row,
    SpareRow,
    TeamRow,
    keys,
)
from clubbot.rules.exchange.sheets import MAY_LACK, Problem, Sheet
from clubbot.rules.setup import MOST_KITS

_KINDS: tuple[tuple[type[Row], str], ...] = (
    (KitTypeRow, "kit_types"),
    (PartRow, "parts"),
    (KitRow, "kits"),
    (ItemRow, "items"),
    (TeamRow, "teams"),
    (SpareRow, "spares"),
    (ClubLine, "club"),
)


@dataclass(frozen=True, slots=True)
class Change:
    """A row that is new (`place` None), or differs from the one at this place of what stands."""

    kind: str
    after: Row
    before: Row | None = None
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """What would change; with any problem nothing does. `same` rows stand like that already."""

    changes: tuple[Change, ...]
    problems: tuple[Problem, ...]
    same: int
    absent: int
    """How many of the rows that stand, of the kinds given, are in no file: they stay."""


def compare(stands: Contents, sheets: Sequence[Sheet]) -> Plan:
    """Return what these files would change of what stands."""
    placed = [
        (sheet.kind, number, row) for sheet in sheets for number, row in _completed(stands, sheet)
    ]
    spelling = _spelling(stands, placed)
    given = Contents(
        **{name: tuple(r for _, _, r in placed if isinstance(r, kind)) for kind, name in _KINDS}  # type: ignore[arg-type]
    ).respelled(spelling)
    problems = [*_twice(placed), *_pointing(stands, placed), *_too_many(stands, given, sheets)]
    changes: list[Change] = []
    same = absent = 0
    for kind, name in _KINDS:
        before: Sequence[Row] = getattr(stands, name)
        after: Sequence[Row] = _each_once(getattr(given, name), kind)
        known = {key: place for place, key in enumerate(keys(before))}
        wanted = keys(after)
        for key, row in zip(wanted, after, strict=True):
            place = known.get(key)
            if place is None:
                changes.append(Change(name, row))
            elif before[place] != row:
                changes.append(Change(name, row, before[place], place))
            else:
                same += 1
        if after:
            absent += len(known.keys() - set(wanted))
    return Plan(tuple(changes), tuple(problems), same, absent)


def _completed(stands: Contents, sheet: Sheet) -> Iterable[tuple[int, Row]]:
    """Yield a file's rows; what a column that it lacks would say stays as it stands.

    So does a version that a row leaves empty: a file takes nothing away.
    """
    if sheet.kind == "items":
        yield from _with_versions(stands, sheet)
        return
    known = {part.key: part for part in stands.parts} if sheet.lacking else {}
    for number, row in sheet.rows:
        before = known.get(row.key) if isinstance(row, PartRow) else None
        if before is not None and isinstance(row, PartRow):
            kept = {MAY_LACK[column]: getattr(before, MAY_LACK[column]) for column in sheet.lacking}
            yield number, replace(row, **kept)
        else:
            yield number, row


def _with_versions(stands: Contents, sheet: Sheet) -> Iterable[tuple[int, Row]]:
    known = dict(zip(keys(stands.items), stands.items, strict=True))
    placed = keys(row for _, row in sheet.rows)
    for key, (number, row) in zip(placed, sheet.rows, strict=True):
        before = known.get(key)
        if isinstance(row, ItemRow) and before is not None and not row.version:
            row = replace(row, version=before.version)
        yield number, row


def _each_once(rows: Sequence[Row], kind: type[Row]) -> Sequence[Row]:
    """A kit type stands in each of its parts' rows."""
    return list(dict.fromkeys(rows)) if kind is KitTypeRow else rows


Placed = Iterable[tuple[str, int, Row]]


def _spelling(stands: Contents, placed: Placed) -> dict[tuple[str, str], str]:
    """Return how kit types and labels are spelled, once the files are taken in."""
    found: dict[tuple[str, str], str] = {}
    for row in (*stands.kit_types, *stands.kits, *(row for _, _, row in placed)):
        if isinstance(row, KitTypeRow):
            found["kit type", row.kit_type.casefold()] = row.kit_type
        elif isinstance(row, KitRow):
            found["kit", row.label.casefold()] = row.label
    return found


def _twice(placed: Placed) -> Iterable[Problem]:
    """Yield the rows that speak of the same thing as one before them."""
    seen: dict[tuple[type, Key], Row] = {}
    for sheet, number, row in placed:
        key = (type(row), row.key)
        first = seen.setdefault(key, row)
        if first is row or (isinstance(row, ItemRow) and not row.serial):
            continue
        if isinstance(row, KitTypeRow):
            if first != row:
                yield Problem(sheet, number, "run minutes", "differs", row.kit_type)
        else:
            yield Problem(sheet, number, "", "twice", _called(row))


def _called(row: Row) -> str:
    match row:
        case ClubLine():
            return row.setting
        case KitRow():
            return row.label
        case ItemRow():
            return row.serial or row.kind
        case TeamRow():
            return row.team
        case KitTypeRow():
            return row.kit_type
        case PartRow() | SpareRow():
            return row.part


def _pointing(stands: Contents, placed: Placed) -> Iterable[Problem]:
    """Yield the rows that name a kit type, a part or a kit that there won't be."""
    rows = [row for _, _, row in placed]

    def known(kind: type[Row], there: Sequence[Row]) -> set[Key]:
        return {row.key for row in (*there, *rows) if isinstance(row, kind)}

    types = known(KitTypeRow, stands.kit_types)
    parts, labels = known(PartRow, stands.parts), known(KitRow, stands.kits)
    for sheet, number, row in placed:
        if isinstance(row, KitRow | SpareRow) and (row.kit_type.casefold(),) not in types:
            yield Problem(sheet, number, "kit type", "unknown", row.kit_type)
        elif isinstance(row, SpareRow) and row.key not in parts:
            yield Problem(sheet, number, "part", "unknown", row.part)
        elif isinstance(row, ItemRow) and row.kit and (row.kit.casefold(),) not in labels:
            yield Problem(sheet, number, "kit", "unknown", row.kit)


def _too_many(stands: Contents, given: Contents, sheets: Sequence[Sheet]) -> Iterable[Problem]:
    count = len({kit.key for kit in (*stands.kits, *given.kits)})
    if count > MOST_KITS and given.kits:
        last = max(n for sheet in sheets for n, row in sheet.rows if isinstance(row, KitRow))
        yield Problem("fleet", last, "label", "too-many", str(MOST_KITS))
