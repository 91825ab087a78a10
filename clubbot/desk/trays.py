"""What the trays lack and what could fill them, as the desk's use cases of parts see it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from clubbot.desk.acting import Who
from clubbot.rules.counting import spelled
from clubbot.rules.entries import Parts
from clubbot.rules.ledger import Use
from clubbot.rules.model import KitId, KitTypeId, Reason, Refused
from clubbot.rules.results import GapLine, Lender
from clubbot.rules.stock.books import Books
from clubbot.rules.stock.filling import Filling, Tray, fillings
from clubbot.store import clubs, faults, parts, stock
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.parts import ListedPart

_GONE = (Use.LOST, Use.SCRAPPED)
_AWAITS_REPAIR = (Use.WITHDRAWN, Use.SCRAPPED)


@dataclass(frozen=True, slots=True)
class StoreRoom:
    """The fleet with its trays, the contents lists and the books."""

    known: Mapping[KitId, KitNow]
    lists: tuple[ListedPart, ...]
    books: Books
    types: Mapping[KitTypeId, str]
    claimed: frozenset[KitId]
    dangerous: frozenset[KitId]

    def listed(self, kit_type: KitTypeId) -> list[ListedPart]:
        return [part for part in self.lists if part.kit_type == kit_type]

    def holds(self, now: KitNow) -> dict[str, int]:
        """Return what lies in a kit's tray, by the name in small letters."""
        lacks = {name.casefold(): number for name, number in now.position.missing}
        return {
            part.name.casefold(): part.number - lacks.get(part.name.casefold(), 0)
            for part in self.listed(now.kit.kit_type)
        }

    def lends(self, now: KitNow) -> bool:
        """Say whether a kit waits for repair anyway, so that others may have its parts.

        Not one under a claim, nor one that was dangerous: an adult decides about that.
        """
        barred = now.kit.id in self.claimed | self.dangerous
        return now.position.use in _AWAITS_REPAIR and not now.position.out and not barred

    def fillings(self) -> tuple[Filling, ...]:
        """Return what could fill each tray that lacks something."""
        return fillings([self._tray(now) for now in self.known.values()], self.books.stock)

    def _tray(self, now: KitNow) -> Tray:
        at, lends = now.position, self.lends(now)
        filled = at.use not in _GONE and now.kit.id not in self.claimed
        needed = {p.name.casefold() for p in self.listed(now.kit.kit_type) if p.essential}
        return Tray(
            kit=now.kit.id,
            kit_type=now.kit.kit_type,
            lacks=at.missing if filled else (),
            essential=any(name.casefold() in needed for name, _ in at.missing),
            in_use=at.use is Use.IN_USE,
            here=not at.out,
            lends=lends,
            holds=self.holds(now) if lends else None,
        )

    def gap_lines(self, only: Iterable[str] | None = None) -> tuple[GapLine, ...]:
        """Return the gaps as people see them, or those that these parts could fill."""
        wanted = None if only is None else {name.casefold() for name in only}
        return tuple(
            self._line(each)
            for each in self.fillings()
            if wanted is None
            or wanted & {name.casefold() for name, _ in (*each.found, *each.shelf)}
        )

    def _line(self, each: Filling) -> GapLine:
        lenders = tuple(Lender(self.known[kit].ref, given) for kit, given in each.lent)
        ref = self.known[each.kit].ref
        return GapLine(ref, each.lacks, each.found, each.shelf, lenders, each.rest, each.here)

    def lying(self, account: str) -> Parts:
        """Return what lies on the shelf, or was found, of all kit types together."""
        numbers: dict[str, int] = {}
        for (kit_type, name), had in self.books.stock.items():
            shown = self.spelled(kit_type, name)
            numbers[shown] = numbers.get(shown, 0) + getattr(had, account)
        return tuple(sorted((name, number) for name, number in numbers.items() if number))

    def spelled(self, kit_type: KitTypeId, name: str) -> str:
        """Return a part's name in the books as its contents list spells it."""
        known = (part.name for part in self.listed(kit_type))
        return next((each for each in known if each.casefold() == name), name)

    def meant(self, kit_type: KitTypeId, told: Parts) -> Parts | Refused:
        """Return parts as the contents list spells them, with packs taken apart.

        A kit type without a list takes any name, spelled as the books have it.
        """
        listed = self.listed(kit_type)
        names = [p.name for p in listed] or [n for k, n in self.books.stock if k == kit_type]
        found: dict[str, int] = {}
        for typed, number in told:
            word, pack = typed, 1
            if typed.casefold().startswith(("pack ", "packs ")):
                word = typed.partition(" ")[2].removeprefix("of ")
                packs = {p.name: p.pack for p in listed}
                pack = packs.get(spelled(word, names)) or 0
            name = spelled(word, names)
            if pack == 0 or (listed and name not in names):
                return Refused(Reason.UNKNOWN_PART, {"word": typed, "parts": tuple(names[:12])})
            found[name] = found.get(name, 0) + number * pack
        return tuple(sorted(found.items()))

    def type_of(self, told: Parts) -> KitTypeId | Refused:
        """Return the only kit type that has these parts, or the only one there is."""
        if len(self.types) == 1:
            return next(iter(self.types))
        having = [
            kit_type
            for kit_type in self.types
            if self.listed(kit_type) and not isinstance(self.meant(kit_type, told), Refused)
        ]
        if len(having) == 1:
            return having[0]
        word = ", ".join(name for name, _ in told)
        names = tuple(self.types[kit_type] for kit_type in having)
        return Refused(Reason.UNKNOWN_PART, {"word": word, "types": names})


def look_round(tx: Tx, who: Who) -> StoreRoom:
    """Read all that there is to know of trays and parts."""
    lines = faults.still_open(tx, who.club)
    return StoreRoom(
        kits(tx, who.club),
        tuple(parts.listed(tx, who.club)),
        stock.books(tx, who.club),
        clubs.kit_types(tx, who.club),
        frozenset(line.kit.id for line in lines if line.kit and line.at_supplier),
        frozenset(line.kit.id for line in lines if line.kit and line.danger),
    )
