"""The files: RFC 4180 in UTF-8, told apart by their first row. What is wrong says in which row."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from clubbot.rules.exchange.cells import as_it_was
from clubbot.rules.exchange.club_lines import OTHERS, READERS, read_club_value
from clubbot.rules.exchange.rows import (
    SHEETS,
    ClubLine,
    ItemRow,
    KitRow,
    KitTypeRow,
    PartRow,
    Row,
    SheetKind,
    SpareRow,
    TeamRow,
)
from clubbot.rules.model import ItemKind
from clubbot.rules.setup import LONGEST_LABEL, LONGEST_NAME
from clubbot.rules.tidy import tidy
from clubbot.rules.version_numbers import read_version

COLUMNS: dict[SheetKind, tuple[str, ...]] = {
    "club": ("setting", "value"),
    "kit_types": (
        *("kit type", "run minutes", "part", "number", "big", "essential", "tray"),
        *("compartment", "weight", "spread", "pack", "price"),
    ),
    "fleet": ("label", "kit type", "place"),
    "items": ("kind", "serial", "kit", "price", "bought on", "warranty until", "version"),
    "teams": ("team", "same kit"),
    "spares": ("kit type", "part", "number"),
}
LARGEST = 200_000
"""Bytes of one file."""
MAY_LACK = {
    "compartment": "compartment",
    "weight": "weight_mg",
    "spread": "spread_mg",
    "pack": "pack",
    "price": "price_cents",
}
"""Columns that a file of kit types may do without, and what they are of a part: it stays then."""
_LONGEST_TRAY = 40
_LONGEST_VALUE = 2000
_MOST = 100_000
_YES, _NO = frozenset({"yes", "true", "1", "x"}), frozenset({"no", "false", "0", ""})
_PRICE = re.compile(r"(\d{1,7})(?:[.,](\d{1,2}))?")
_WEIGHT = re.compile(r"(\d{1,5})(?:[.,](\d{1,3}))?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FIRST_LINE = re.compile(r"[^\r\n]*")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong in a row (the first row is 1): `what` is a code that the words know."""

    sheet: str
    row: int
    column: str
    what: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file's rows, each with the number of the row that it stands in; what columns it lacks."""

    kind: SheetKind
    rows: tuple[tuple[int, Row], ...]
    lacking: frozenset[str] = frozenset()


class _Wrong(Exception):
    """A cell that can't be taken."""

    def __init__(self, column: str, what: str, value: str = "") -> None:
        super().__init__(what)
        self.column, self.what, self.value = column, what, value


def decode(content: bytes) -> str | None:
    """Return a file's text: UTF-8, or UTF-16 where it says so; None where it is neither."""
    coding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return content.decode(coding)
    except UnicodeDecodeError:
        return None


def read_sheet(text: str) -> Sheet | tuple[Problem, ...]:
    """Return the rows of a file, or all that is wrong with it."""
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=_sign(text), strict=True))
    except csv.Error as error:
        return (Problem("", 1 + text.count("\n"), "", "not-csv", str(error)),)
    header = [" ".join(tidy(cell).casefold().split("_")) for cell in lines[0]] if lines else []
    while header and not header[-1]:
        header.pop()
    kind = next((each for each in SHEETS if _is_of(each, header)), None)
    if kind is None:
        return (_unknown(header),)
    lacking = frozenset(COLUMNS[kind]) - {*header}
    blank = dict.fromkeys(lacking, "")
    rows: list[tuple[int, Row]] = []
    problems: list[Problem] = []
    for number, line in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in line):
            continue
        try:
            rows += [(number, row) for row in _rows(kind, {**blank, **_cells(header, line)})]
        except _Wrong as wrong:
            problems.append(Problem(kind, number, wrong.column, wrong.what, wrong.value))
    return tuple(problems) if problems else Sheet(kind, tuple(rows), lacking)


def _is_of(kind: SheetKind, header: Sequence[str]) -> bool:
    may_lack = {"kit_types": tuple(MAY_LACK), "items": ("version",)}.get(kind, ())
    needed = [column for column in COLUMNS[kind] if column in header or column not in may_lack]
    return sorted(needed) == sorted(header)


def _sign(text: str) -> str:
    """Return what separates cells: a comma, or what a spreadsheet of another country writes."""
    first = _FIRST_LINE.match(text)
    line = first[0] if first else ""
    return next((sign for sign in ";\t" if sign in line and "," not in line), ",")


def _unknown(header: Sequence[str]) -> Problem:
    nearest = max(SHEETS, key=lambda kind: len({*COLUMNS[kind]} & {*header}))
    return Problem(nearest, 1, "", "columns", ", ".join(COLUMNS[nearest]))


def _cells(header: Sequence[str], line: Sequence[str]) -> Mapping[str, str]:
    if len(line) < len(header) or any(cell.strip() for cell in line[len(header) :]):
        raise _Wrong("", "cells", f"{len(line)}/{len(header)}")
    return {name: as_it_was(cell) for name, cell in zip(header, line, strict=False)}


def _rows(kind: SheetKind, cells: Mapping[str, str]) -> list[Row]:
    match kind:
        case "club":
            return [_club_line(cells)]
        case "kit_types":
            return _kit_type(cells)
        case "fleet":
            label = _word(cells, "label", LONGEST_LABEL)
            return [KitRow(label, _word(cells, "kit type"), _maybe(cells, "place"))]
        case "items":
            return [_item(cells)]
        case "teams":
            return [TeamRow(_word(cells, "team"), _flag(cells, "same kit", empty=False))]
        case "spares":
            number = _number(cells, "number", 0)
            return [SpareRow(_word(cells, "kit type"), _word(cells, "part"), number)]


def _kit_type(cells: Mapping[str, str]) -> list[Row]:
    name = _word(cells, "kit type")
    kit_type = KitTypeRow(name, _number(cells, "run minutes", 1, 1440))
    if not tidy(cells["part"]):
        if any(tidy(cells[each]) for each in ("number", "tray", *MAY_LACK)):
            raise _Wrong("part", "missing")
        return [kit_type]
    part = PartRow(
        name,
        _word(cells, "part"),
        _number(cells, "number", 1),
        _flag(cells, "big", empty=False),
        _flag(cells, "essential", empty=True),
        _maybe(cells, "tray", _LONGEST_TRAY),
        _maybe(cells, "compartment", _LONGEST_TRAY),
        _grams(cells, "weight", 1),
        _grams(cells, "spread", 0),
        _number(cells, "pack", 1) if tidy(cells["pack"]) else None,
        _price(cells, "price"),
    )
    return [kit_type, part]


def _club_line(cells: Mapping[str, str]) -> ClubLine:
    setting = _word(cells, "setting").casefold()
    if setting not in READERS and setting not in OTHERS:
        raise _Wrong("setting", "setting", setting)
    value = read_club_value(setting, _word(cells, "value", _LONGEST_VALUE))
    if value is None:
        raise _Wrong("value", "value", setting)
    return ClubLine(setting, value)


def _item(cells: Mapping[str, str]) -> ItemRow:
    kind = tidy(cells["kind"]).casefold()
    if kind not in list(ItemKind):
        raise _Wrong("kind", "kind", cells["kind"])
    return ItemRow(
        kind,
        _maybe(cells, "serial"),
        _maybe(cells, "kit", LONGEST_LABEL),
        _price(cells, "price"),
        _day(cells, "bought on"),
        _day(cells, "warranty until"),
        _version(cells),
    )


def _version(cells: Mapping[str, str]) -> str:
    text = tidy(cells["version"])
    if text and read_version(text) is None:
        raise _Wrong("version", "version", text)
    return text


def _maybe(cells: Mapping[str, str], column: str, longest: int = LONGEST_NAME) -> str:
    text = tidy(cells[column])
    if len(text) > longest:
        raise _Wrong(column, "long", str(longest))
    return text


def _word(cells: Mapping[str, str], column: str, longest: int = LONGEST_NAME) -> str:
    text = _maybe(cells, column, longest)
    if not text:
        raise _Wrong(column, "missing")
    return text


def _number(cells: Mapping[str, str], column: str, least: int, most: int = _MOST) -> int:
    text = tidy(cells[column])
    if not re.fullmatch(r"[0-9]{1,6}", text) or not least <= int(text) <= most:
        raise _Wrong(column, "number", f"{least}-{most}")
    return int(text)


def _flag(cells: Mapping[str, str], column: str, *, empty: bool) -> bool:
    text = tidy(cells[column]).casefold()
    if not text:
        return empty
    if text not in _YES | _NO:
        raise _Wrong(column, "flag", text)
    return text in _YES


def _price(cells: Mapping[str, str], column: str) -> int | None:
    text = tidy(cells[column])
    if not text:
        return None
    found = _PRICE.fullmatch(text)
    if found is None or not text.isascii():
        raise _Wrong(column, "price", text)
    return int(found[1]) * 100 + int((found[2] or "").ljust(2, "0"))


def _grams(cells: Mapping[str, str], column: str, least: int) -> int | None:
    """Return a weight in milligrams, as it is written in grams."""
    text = tidy(cells[column])
    if not text:
        return None
    found = _WEIGHT.fullmatch(text)
    weight = int(found[1]) * 1000 + int((found[2] or "").ljust(3, "0")) if found else -1
    if weight < least or not text.isascii():
        raise _Wrong(column, "grams", text)
    return weight


def _day(cells: Mapping[str, str], column: str) -> date | None:
    text = tidy(cells[column])
    if not text:
        return None
    found = _DAY.fullmatch(text)
    try:
        return date.fromisoformat(found[0] if found else "")
    except ValueError:
        raise _Wrong(column, "date", text) from None
