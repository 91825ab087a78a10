"""Whether the books balance: all that was bought is somewhere, and only once.

bought = in trays + kept built + on the shelf + lent to another kit + found without a home
       + at the supplier + missing + broken

What the kits' contents lists say counts as bought with the kits. A tray's own parts count where
the kit is: kept built for a team, at the supplier under a claim, or missing with a kit that is
lost. A part that is on nobody's list counts as one that was there before it went missing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from clubbot.rules.entries import Parts
from clubbot.rules.model import KitId, KitTypeId
from clubbot.rules.stock.books import Books, Key, Stock

Where = Literal["here", "kept", "supplier", "lost"]


@dataclass(frozen=True, slots=True)
class KitAt:
    """A kit of a type, where it is with all that is in its tray."""

    kit_type: KitTypeId
    where: Where = "here"


@dataclass(frozen=True, slots=True)
class Line:
    """One part's line of the books, in pieces."""

    key: Key
    bought: int
    in_trays: int
    kept_built: int
    on_shelf: int
    lent: int
    found: int
    at_supplier: int
    missing: int
    broken: int
    ordered: int

    @property
    def balanced(self) -> bool:
        return self.bought == (
            self.in_trays
            + self.kept_built
            + self.on_shelf
            + self.lent
            + self.found
            + self.at_supplier
            + self.missing
            + self.broken
        )


def balance(
    books: Books, contents: Mapping[Key, int], fleet: Mapping[KitId, KitAt]
) -> tuple[Line, ...]:
    """Return a line for each part that is on a list or in the books, in the order of the names."""
    keys = sorted({*contents, *books.stock})
    return tuple(_line(books, key, contents.get(key, 0), fleet) for key in keys)


def _line(books: Books, key: Key, number: int, fleet: Mapping[KitId, KitAt]) -> Line:
    stock = books.stock.get(key, Stock())
    trays: dict[Where, int] = {"here": 0, "kept": 0, "supplier": 0, "lost": 0}
    holds: dict[KitId, int] = {}
    with_kits = 0
    for kit, at in fleet.items():
        if at.kit_type != key[0]:
            continue
        gap = books.gaps.get(kit, {}).get(key[1], 0)
        with_kits += max(number, gap)
        holds[kit] = max(number - gap, 0)
        trays[at.where] += holds[kit]
    borrowed: dict[KitId, int] = {}
    for (_, borrower, what), lent in books.loans.items():
        if what == key and fleet.get(borrower, KitAt(key[0])).where == "here":
            borrowed[borrower] = borrowed.get(borrower, 0) + lent
    lent = sum(min(some, holds.get(kit, 0)) for kit, some in borrowed.items())
    return Line(
        key=key,
        bought=with_kits + stock.bought,
        in_trays=trays["here"] - lent,
        kept_built=trays["kept"],
        on_shelf=stock.shelf,
        lent=lent,
        found=stock.found,
        at_supplier=stock.supplier + trays["supplier"],
        missing=stock.missing + trays["lost"],
        broken=stock.broken,
        ordered=stock.ordered,
    )


def differences(
    books: Books,
    missing: Mapping[KitId, Parts],
    contents: Mapping[Key, int],
    fleet: Mapping[KitId, KitAt],
) -> list[str]:
    """Return one line for each thing that is wrong with the books; there must be none.

    `missing` is what the kits' stored positions lack.
    """
    found = [f"entry {each.seq} ({each.kind}) takes absent parts" for each in books.misfits]
    for kit in sorted({*books.gaps, *missing}):
        told, kept = dict(books.gaps.get(kit, {})), _by_name(missing.get(kit, ()))
        if told != kept:
            found.append(f"kit {kit}: the books say {told}, the store {kept}")
    for line in balance(books, contents, fleet):
        if not line.balanced:
            found.append(f"unbalanced parts: {line}")
    return found


def _by_name(parts: Parts) -> dict[str, int]:
    numbers: dict[str, int] = {}
    for name, number in parts:
        numbers[name.casefold()] = numbers.get(name.casefold(), 0) + number
    return numbers
