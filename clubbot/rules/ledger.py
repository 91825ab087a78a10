"""The ledger: what happened to kits and items, and the positions that follow from it.

Entries are never edited. Replay takes them in order of *happened at* (ties in the order said),
leaves out what a standing correction cancels, and folds the rest into one position per kit and
item. `fits` says whether an entry makes sense where it stands; the fold itself accepts any
history, so that an old ledger with a mistake in it can still be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Any

from clubbot.rules.entries import Before, Detail, Entry, EntryKind, Parts, PartsFrom, added
from clubbot.rules.model import BookingId, ItemId, KitId, Seq, TeamId

__all__ = [
    "Before",
    "Detail",
    "Entry",
    "EntryKind",
    "Parts",
    "PartsFrom",
    "Position",
    "Replayed",
    "Use",
    "added",
    "fits",
    "replay",
    "standing",
    "step",
]

_TAKES = frozenset(
    {EntryKind.SHORT, EntryKind.PARTS_LENT, EntryKind.PARTS_OUT, EntryKind.PARTS_BROKEN}
)
"""After these a tray lacks parts that it had."""
_OF_USE = frozenset(
    {
        EntryKind.HELD,
        EntryKind.RELEASED,
        EntryKind.WITHDRAWN,
        EntryKind.RESTORED,
        EntryKind.SCRAPPED,
        EntryKind.FOUND,
    }
)
"""After these a kit or item may go out, or may not."""


class Use(StrEnum):
    """Whether a kit or item may go out, the loosest first."""

    IN_USE = "in use"
    WITHDRAWN = "out of use"
    HELD = "on hold"
    LOST = "lost"
    SCRAPPED = "scrapped"


@dataclass(frozen=True, slots=True)
class Position:
    """Where a kit or an item stands: in whose hands since when, due when, and fit for use or not.

    `team` is None while it is on its shelf. `held` and `withdrawn` give the reason, and are None
    where it is neither: each is lifted by itself. `kit` is the kit that an item is fitted to.
    `short_minutes`: it is for uses of at most so many minutes only, for its battery is weak.
    `last` is the (happened at, seq) of the newest entry folded in.
    """

    team: TeamId | None = None
    booking: BookingId | None = None
    out_since: datetime | None = None
    due: datetime | None = None
    said_back_at: datetime | None = None
    held: str | None = None
    withdrawn: str | None = None
    lost: str | None = None
    scrapped: bool = False
    charged_at: datetime | None = None
    missing: Parts = ()
    counted_at: datetime | None = None
    short_minutes: int | None = None
    kit: KitId | None = None
    last: tuple[datetime, Seq] | None = None

    @property
    def out(self) -> bool:
        return self.out_since is not None

    @property
    def use(self) -> Use:
        """The strictest of what stands in the way of its going out."""
        if self.scrapped:
            return Use.SCRAPPED
        if self.lost is not None:
            return Use.LOST
        if self.held is not None:
            return Use.HELD
        return Use.IN_USE if self.withdrawn is None else Use.WITHDRAWN


def fits(position: Position, entry: Entry) -> bool:
    """Say whether the entry makes sense for a kit or item that stands like this."""
    match entry.kind:
        case EntryKind.GIVEN_OUT:
            return not position.out and position.use is Use.IN_USE
        case EntryKind.PASSED_ON:
            return position.out and position.use is Use.IN_USE
        case EntryKind.SAID_BACK:
            return position.out and position.said_back_at is None
        case EntryKind.TAKEN_BACK | EntryKind.EXTENDED:
            return position.out
        case EntryKind.HELD:
            return position.held is None and not position.scrapped
        case EntryKind.RELEASED:
            return position.held is not None
        case EntryKind.WITHDRAWN:
            return position.withdrawn is None and not position.scrapped
        case EntryKind.RESTORED:
            return position.withdrawn is not None
        case EntryKind.LOST:
            return position.lost is None and not position.scrapped
        case EntryKind.FOUND:
            return position.lost is not None
        case EntryKind.SCRAPPED:
            return not position.scrapped and not position.out
        case EntryKind.FITTED:
            return position.kit is None
        case EntryKind.TAKEN_OFF:
            return position.kit is not None
        case EntryKind.PARTS_IN:
            gone = dict(position.missing)
            return all(number <= gone.get(part, 0) for part, number in entry.detail.parts)
        case _:
            # What was seen, charged, counted or put right may be said of anything.
            return True


def step(position: Position, entry: Entry) -> Position:
    """Fold one entry into the position of the kit or item that it is about."""
    at, detail = entry.happened_at, entry.detail
    moved = replace(position, last=(at, entry.seq))
    match entry.kind:
        case EntryKind.GIVEN_OUT | EntryKind.PASSED_ON:
            return _in_hands(moved, at, detail)
        case EntryKind.SAID_BACK:
            return replace(moved, said_back_at=at if position.out else None)
        case EntryKind.TAKEN_BACK:
            return _in_no_hands(moved)
        case EntryKind.LOST:
            return replace(_in_no_hands(moved), lost=detail.note)
        case EntryKind.EXTENDED:
            return replace(moved, due=detail.due if position.out else None)
        case EntryKind.CHARGED:
            return moved if detail.own else replace(moved, charged_at=at)
        case EntryKind.SHORT_USES:
            return replace(moved, short_minutes=detail.minutes)
        case EntryKind.ALL_USES:
            return replace(moved, short_minutes=None)
        case EntryKind.PARTS_IN | EntryKind.COUNTED:
            return _recounted(moved, entry)
        case kind if kind in _TAKES:
            return _recounted(moved, entry)
        case kind if kind in _OF_USE:
            return replace(moved, **_fit_for_use(kind, detail.note))
        case EntryKind.FITTED:
            return replace(moved, kit=entry.kit)
        case EntryKind.TAKEN_OFF:
            return replace(moved, kit=None)
        case EntryKind.CORRECTED:
            return position
        case _:
            return moved


def _fit_for_use(kind: EntryKind, note: str) -> dict[str, Any]:
    """Return what an entry changes of whether a kit or item may go out."""
    match kind:
        case EntryKind.HELD | EntryKind.RELEASED:
            return {"held": note if kind is EntryKind.HELD else None}
        case EntryKind.WITHDRAWN | EntryKind.RESTORED:
            return {"withdrawn": note if kind is EntryKind.WITHDRAWN else None}
        case EntryKind.SCRAPPED:
            return {"scrapped": True}
    return {"lost": None}


def _recounted(position: Position, entry: Entry) -> Position:
    parts = entry.detail.parts
    if entry.kind is EntryKind.COUNTED:
        return replace(position, missing=added((), parts), counted_at=entry.happened_at)
    if entry.kind is EntryKind.PARTS_IN:
        parts = tuple((part, -number) for part, number in parts)
    return replace(position, missing=added(position.missing, parts))


def _in_hands(position: Position, at: datetime, detail: Detail) -> Position:
    return replace(
        position,
        team=detail.team,
        booking=detail.booking,
        out_since=at,
        due=detail.due,
        said_back_at=None,
    )


def _in_no_hands(position: Position) -> Position:
    return replace(position, team=None, booking=None, out_since=None, due=None, said_back_at=None)


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries that no standing correction cancels, in order of happening.

    A correction always comes after what it cancels, so one pass from the newest to the oldest
    also settles corrections of corrections. Corrections themselves are left out.
    """
    cancelled: set[Seq] = set()
    kept: list[Entry] = []
    for entry in sorted(entries, key=lambda each: each.seq, reverse=True):
        if entry.seq in cancelled:
            continue
        if entry.kind is EntryKind.CORRECTED:
            if entry.cancels is not None:
                cancelled.add(entry.cancels)
        else:
            kept.append(entry)
    return sorted(kept, key=lambda each: (each.happened_at, each.seq))


@dataclass(frozen=True, slots=True)
class Replayed:
    """The positions that a whole history leads to, and the entries that did not fit."""

    kits: Mapping[KitId, Position]
    items: Mapping[ItemId, Position]
    misfits: tuple[Entry, ...]


def replay(entries: Iterable[Entry]) -> Replayed:
    """Fold a history, in any order given, into the position of each kit and item it names.

    An entry that names an item moves the item only: a kit keeps its own position when a battery
    is fitted to it.
    """
    kits: dict[KitId, Position] = {}
    items: dict[ItemId, Position] = {}
    misfits: list[Entry] = []
    for entry in standing(entries):
        if entry.item is not None:
            before = items.get(entry.item, Position())
            items[entry.item] = step(before, entry)
        elif entry.kit is not None:
            before = kits.get(entry.kit, Position())
            kits[entry.kit] = step(before, entry)
        else:
            continue
        if not fits(before, entry):
            misfits.append(entry)
    return Replayed(kits, items, tuple(misfits))
