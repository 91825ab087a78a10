"""What could fill the gaps in the trays: what was found, the shelf, a kit that waits for repair.

Each piece is offered once: first to kits that are in use, of those to the ones that lack something
they can't do without. Parts without a home go before the shelf's. What neither covers may come
from a kit that waits for repair anyway; never from one under a claim, which the supplier wants
whole, nor from one that somebody still has to look at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from clubbot.rules.entries import Parts
from clubbot.rules.model import KitId, KitTypeId
from clubbot.rules.stock.books import Stock


@dataclass(frozen=True, slots=True)
class Tray:
    """A kit's tray: what it lacks (as its list spells it), and what of it matters most.

    `here` is False while it is out or gone, `lends` True where its parts may help others; `holds`
    is then what it has, by the name in small letters.
    """

    kit: KitId
    kit_type: KitTypeId
    lacks: Parts
    essential: bool = True
    in_use: bool = True
    here: bool = True
    lends: bool = False
    holds: Mapping[str, int] | None = None


@dataclass(frozen=True, slots=True)
class Filling:
    """What one kit lacks and where that could come from; `rest` must be bought."""

    kit: KitId
    lacks: Parts
    found: Parts
    shelf: Parts
    lent: tuple[tuple[KitId, Parts], ...]
    rest: Parts
    here: bool

    @property
    def whole(self) -> bool:
        """Whether what was found and the shelf are enough."""
        return not self.rest and not self.lent


def fillings(
    trays: Sequence[Tray], stock: Mapping[tuple[KitTypeId, str], Stock]
) -> tuple[Filling, ...]:
    """Return what could fill each tray that lacks something, the first to fill first.

    Those that lend are no gaps to fill before they are repaired.
    """
    found = {key: had.found for key, had in stock.items()}
    shelf = {key: had.shelf for key, had in stock.items()}
    holds = {tray.kit: dict(tray.holds or {}) for tray in trays if tray.lends}
    lenders = {tray.kit: tray.kit_type for tray in trays if tray.lends}
    wanting = [tray for tray in trays if tray.lacks and not tray.lends]
    wanting.sort(key=lambda tray: (not tray.here, not tray.in_use, not tray.essential))
    made = []
    for tray in wanting:
        rest = tray.lacks
        from_found, rest = _taken(tray.kit_type, rest, found)
        from_shelf, rest = _taken(tray.kit_type, rest, shelf)
        lent = []
        for lender, kit_type in lenders.items():
            if kit_type == tray.kit_type and tray.in_use:
                there = {(kit_type, name): number for name, number in holds[lender].items()}
                given, rest = _taken(kit_type, rest, there)
                holds[lender] = {name: number for (_, name), number in there.items()}
                lent += [(lender, given)] if given else []
        made.append(
            Filling(tray.kit, tray.lacks, from_found, from_shelf, tuple(lent), rest, tray.here)
        )
    return tuple(made)


def _taken(
    kit_type: KitTypeId, wanted: Parts, there: dict[tuple[KitTypeId, str], int]
) -> tuple[Parts, Parts]:
    """Take what is wanted from what is there; return what was taken and what is still wanted."""
    taken, rest = [], []
    for name, number in wanted:
        key = kit_type, name.casefold()
        some = min(number, max(there.get(key, 0), 0))
        if some:
            there[key] -= some
            taken.append((name, some))
        if number > some:
            rest.append((name, number - some))
    return tuple(taken), tuple(rest)
