"""The files as they are written: reading them gives the same contents."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from clubbot.rules.exchange.cells import harmless
from clubbot.rules.exchange.rows import SHEETS, Contents, SheetKind
from clubbot.rules.exchange.sheets import COLUMNS


def write_sheets(contents: Contents) -> dict[str, str]:
    """Return the files by name; reading them gives the same contents."""
    return {f"{kind}.csv": _written(kind, _lines(kind, contents)) for kind in SHEETS}


def _written(kind: SheetKind, lines: Iterable[Sequence[str]]) -> str:
    made = io.StringIO(newline="")
    writer = csv.writer(made, lineterminator="\r\n")
    writer.writerow(COLUMNS[kind])
    writer.writerows([harmless(cell) for cell in line] for line in lines)
    return made.getvalue()


def _lines(kind: SheetKind, contents: Contents) -> Iterator[Sequence[str]]:
    match kind:
        case "club":
            yield from ((line.setting, line.value) for line in contents.club)
        case "kit_types":
            yield from _kit_type_lines(contents)
        case "fleet":
            yield from ((kit.label, kit.kit_type, kit.place) for kit in contents.kits)
        case "items":
            for item in contents.items:
                days = [
                    day.isoformat() if day else "" for day in (item.bought_on, item.warranty_until)
                ]
                price = _spelled(item.price_cents)
                yield item.kind, item.serial, item.kit, price, *days, item.version
        case "teams":
            yield from ((team.team, _yes(team.same_kit)) for team in contents.teams)
        case "spares":
            yield from ((each.kit_type, each.part, str(each.number)) for each in contents.spares)


def _kit_type_lines(contents: Contents) -> Iterator[Sequence[str]]:
    for kit_type in contents.kit_types:
        name, minutes = kit_type.kit_type, str(kit_type.run_minutes)
        parts = [part for part in contents.parts if part.kit_type == name]
        if not parts:
            yield name, minutes, *[""] * 10
        for part in parts:
            flags = _yes(part.big), _yes(part.essential)
            weights = grams(part.weight_mg), grams(part.spread_mg)
            pack = "" if part.pack is None else str(part.pack)
            said = part.part, str(part.number), *flags, part.tray, part.compartment
            yield name, minutes, *said, *weights, pack, _spelled(part.price_cents)


def _spelled(cents: int | None) -> str:
    return "" if cents is None else f"{cents // 100}.{cents % 100:02}"


def grams(milligrams: int | None) -> str:
    """Return a weight as it is written in grams, without what says nothing."""
    if milligrams is None:
        return ""
    return f"{milligrams // 1000}.{milligrams % 1000:03}".rstrip("0").rstrip(".")


def _yes(flag: bool) -> str:
    return "yes" if flag else "no"
