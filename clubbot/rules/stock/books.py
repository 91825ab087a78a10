"""The books of parts: every entry moves some from one account to another, so that none is lost.

The accounts of a part of a kit type are the trays, the shelf, what was found without a home, the
broken ones, those at the supplier, and the missing. What was bought is what went into them all.
A full count moves what it finds wanting from the tray to the missing, and what it finds again
back. `missing` is below zero where more turned up than were missed: a tray that nobody has
counted since must lack them.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from clubbot.rules.entries import Entry, EntryKind
from clubbot.rules.ledger import standing
from clubbot.rules.model import KitId, KitTypeId, Seq

Key = tuple[KitTypeId, str]
"""A part of a kit type, by its name in small letters: a list's spelling may change."""
Account = Literal["bought", "tray", "shelf", "found", "broken", "supplier", "missing", "underway"]
"""Underway is what one kit has given and another not got yet: none, once a deed is done."""

KINDS = frozenset(
    {
        EntryKind.SHORT,
        EntryKind.COUNTED,
        EntryKind.PARTS_IN,
        EntryKind.PARTS_LENT,
        EntryKind.PARTS_OUT,
        EntryKind.PARTS_BROKEN,
        EntryKind.PARTS_BOUGHT,
        EntryKind.PARTS_ORDERED,
        EntryKind.PARTS_FOUND,
        EntryKind.PARTS_SHELVED,
        EntryKind.PARTS_SENT,
        EntryKind.SHELF_COUNTED,
    }
)
"""All that is written into these books."""
TAKING = KINDS - {EntryKind.SHORT, EntryKind.COUNTED}
"""Those that may ask for more than there is, or on which one that does may rest."""
_REAL = frozenset({"shelf", "found", "broken", "supplier"})
"""What somebody can lay a hand on: never less than none."""


@dataclass(frozen=True, slots=True)
class Stock:
    """What became of a part beside the trays; `ordered` is still to come."""

    bought: int = 0
    ordered: int = 0
    shelf: int = 0
    found: int = 0
    broken: int = 0
    supplier: int = 0
    missing: int = 0


@dataclass(frozen=True, slots=True)
class Loss:
    """Parts that went missing or broke; missed at `at`, and last known to be there at `since`.

    `counted`: a full count of the tray found it, nobody said so before.
    """

    key: Key
    number: int
    kit: KitId | None
    since: datetime | None
    at: datetime
    broken: bool = False
    counted: bool = False

    @property
    def dated(self) -> bool:
        """Whether it is known when it came about: a tray's first count finds what is long gone."""
        return not self.counted or self.since is not None


@dataclass(frozen=True, slots=True)
class Books:
    """Where all parts are. `gaps` are what a kit's tray lacks, `loans` (lender, borrower, part)."""

    stock: Mapping[Key, Stock]
    gaps: Mapping[KitId, Mapping[str, int]]
    trays: Mapping[Key, int]
    """How many fewer than at first lie in the trays."""
    loans: Mapping[tuple[KitId, KitId, Key], int]
    losses: tuple[Loss, ...]
    misfits: tuple[Entry, ...]
    """The entries that took more than there was, or told half of a loan."""


def keep(entries: Iterable[Entry], kit_types: Mapping[KitId, KitTypeId]) -> Books:
    """Fold a history, in any order given, into the books; what is about no parts is passed over."""
    books = _Keeping(kit_types)
    for entry in standing(entries):
        if entry.kind in KINDS and entry.item is None:
            books.take(entry)
    return books.closed()


class _Keeping:
    """Books that are open: entries come in the order of happening."""

    def __init__(self, kit_types: Mapping[KitId, KitTypeId]) -> None:
        self._kit_types = kit_types
        self._accounts: defaultdict[Key, Counter[str]] = defaultdict(Counter)
        self._gaps: defaultdict[KitId, Counter[str]] = defaultdict(Counter)
        self._counted: dict[KitId, datetime] = {}
        self._loans: Counter[tuple[KitId, KitId, Key]] = Counter()
        self._underway: dict[tuple[KitId, KitId, Key], tuple[int, Entry]] = {}
        self._losses: list[Loss] = []
        self._missed: defaultdict[Key, list[int]] = defaultdict(list)
        self._misfits: dict[Seq, Entry] = {}

    def closed(self) -> Books:
        halves = {entry.seq: entry for number, entry in self._underway.values() if number}
        misfits = {**self._misfits, **halves}
        names = Stock.__dataclass_fields__
        return Books(
            {
                key: Stock(**{name: had[name] for name in names})
                for key, had in self._accounts.items()
            },
            {kit: +gaps for kit, gaps in self._gaps.items() if +gaps},
            {key: -had["tray"] for key, had in self._accounts.items()},
            +self._loans,
            tuple(loss for loss in self._losses if loss.number),
            tuple(misfits[seq] for seq in sorted(misfits)),
        )

    def take(self, entry: Entry) -> None:
        kit_type = entry.kit_type
        if kit_type is None and entry.kit is not None:
            kit_type = self._kit_types.get(entry.kit)
        if kit_type is None:
            return
        parts: Counter[str] = Counter()
        for name, number in entry.detail.parts:
            parts[name.casefold()] += number
        if entry.kind is EntryKind.COUNTED and entry.kit is not None:
            parts.update(dict.fromkeys(self._gaps[entry.kit], 0))
        for name, number in sorted(parts.items()):
            self._take(entry, (kit_type, name), number)
        if entry.kind is EntryKind.COUNTED and entry.kit is not None:
            self._counted[entry.kit] = entry.happened_at

    def _take(self, entry: Entry, key: Key, number: int) -> None:
        source = entry.detail.source
        match entry.kind:
            case EntryKind.SHORT:
                self._miss(entry, key, number)
            case EntryKind.COUNTED:
                self._miss(entry, key, number - self._gap(entry, key))
            case EntryKind.SHELF_COUNTED:
                self._shelf_counted(entry, key, number)
            case EntryKind.PARTS_FOUND:
                self._move(entry, key, number, "missing", "found")
                self._turn_up(key, None, number)
            case EntryKind.PARTS_BOUGHT:
                self._move(entry, key, number, "bought", "shelf")
                due = self._accounts[key]
                due["ordered"] -= min(number, due["ordered"])
            case EntryKind.PARTS_ORDERED:
                # None ordered: what was on order doesn't come any more.
                ordered = self._accounts[key]["ordered"]
                self._accounts[key]["ordered"] = ordered + number if number else 0
            case EntryKind.PARTS_SENT:
                self._move(entry, key, number, "broken", "supplier")
            case EntryKind.PARTS_SHELVED if source in ("found", "broken", "supplier"):
                self._move(entry, key, number, source, "shelf")
            case EntryKind.PARTS_OUT:
                self._move(entry, key, number, "tray", "shelf")
            case EntryKind.PARTS_BROKEN:
                kept = source if source in ("shelf", "found") else "tray"
                self._move(entry, key, number, kept, "broken")
                self._lose(entry, key, number, broken=True)
            case EntryKind.PARTS_LENT:
                self._lend(entry, key, number)
            case EntryKind.PARTS_IN:
                self._put_in(entry, key, number)

    def _gap(self, entry: Entry, key: Key) -> int:
        return self._gaps[entry.kit][key[1]] if entry.kit is not None else 0

    def _move(self, entry: Entry, key: Key, number: int, source: Account, to: Account) -> None:
        """Move parts between two accounts; what is bought comes from nowhere."""
        had = self._accounts[key]
        if source in _REAL and had[source] < number:
            self._misfits[entry.seq] = entry
        had[source] += number if source == "bought" else -number
        had[to] += number
        if entry.kit is not None and "tray" in (source, to):
            gaps = self._gaps[entry.kit]
            gaps[key[1]] += number if source == "tray" else -number
            if not gaps[key[1]]:
                del gaps[key[1]]

    def _miss(self, entry: Entry, key: Key, more: int) -> None:
        if more > 0:
            self._move(entry, key, more, "tray", "missing")
            self._lose(entry, key, more, counted=entry.kind is EntryKind.COUNTED)
        elif more < 0:
            self._move(entry, key, -more, "missing", "tray")
            self._turn_up(key, entry.kit, -more)
            self._settle(entry.kit, key)

    def _shelf_counted(self, entry: Entry, key: Key, number: int) -> None:
        """What is more than known was bought without a word; what is less is missing."""
        more = number - self._accounts[key]["shelf"]
        if more > 0:
            self._move(entry, key, more, "bought", "shelf")
        elif more < 0:
            self._move(entry, key, -more, "shelf", "missing")
            self._lose(entry, key, -more)

    def _put_in(self, entry: Entry, key: Key, number: int) -> None:
        fits = min(number, self._gap(entry, key))
        source, lender, kit = entry.detail.source, entry.detail.other, entry.kit
        if source in ("shelf", "found"):
            self._move(entry, key, fits, source, "tray")
        elif source == "kit" and lender is not None and kit is not None:
            self._move(entry, key, fits, "underway", "tray")
            self._borrow(entry, (lender, kit, key), number if fits == number else 0)
        else:
            self._move(entry, key, fits, "missing", "tray")
            self._turn_up(key, kit, fits)
        self._settle(kit, key)

    def _lend(self, entry: Entry, key: Key, number: int) -> None:
        if entry.kit is None or entry.detail.other is None:
            return
        self._move(entry, key, number, "tray", "underway")
        pair = (entry.kit, entry.detail.other, key)
        self._underway[pair] = (self._underway.get(pair, (0, entry))[0] + number, entry)

    def _borrow(self, entry: Entry, pair: tuple[KitId, KitId, Key], number: int) -> None:
        """Note a loan; what goes back to its lender ends that one first."""
        lender, borrower, key = pair
        self._underway[pair] = (self._underway.get(pair, (0, entry))[0] - number, entry)
        back = min(number, self._loans[borrower, lender, key])
        self._loans[borrower, lender, key] -= back
        self._loans[pair] += number - back

    def _settle(self, kit: KitId | None, key: Key) -> None:
        """A kit whose tray is full again has what it lent back, whoever it came from."""
        if kit is None:
            return
        still = self._gaps[kit][key[1]]
        for pair in [each for each in self._loans if each[0] == kit and each[2] == key]:
            self._loans[pair] = min(self._loans[pair], still)
            still -= self._loans[pair]

    def _lose(self, entry: Entry, key: Key, number: int, **how: bool) -> None:
        since = self._counted.get(entry.kit) if entry.kit is not None else None
        loss = Loss(key, number, entry.kit, since, entry.happened_at, **how)
        if not loss.broken:
            self._missed[key].append(len(self._losses))
        self._losses.append(loss)

    def _turn_up(self, key: Key, kit: KitId | None, number: int) -> None:
        """Take back the newest losses that this was; of a kit's own tray, that kit's first."""
        newest = self._missed[key][::-1]
        own = [place for place in newest if kit is not None and self._losses[place].kit == kit]
        for place in dict.fromkeys((*own, *newest)):
            if not number:
                break
            loss = self._losses[place]
            back = min(number, loss.number)
            self._losses[place] = replace(loss, number=loss.number - back)
            number -= back
        self._missed[key] = [each for each in self._missed[key] if self._losses[each].number]
