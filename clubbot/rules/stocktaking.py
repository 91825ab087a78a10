"""Stocktaking: what was seen of a kit against the books, and the entries that put them right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from clubbot.rules.counting import changed
from clubbot.rules.ledger import EntryKind, Parts, Position, Use
from clubbot.rules.model import KitId

Seen = Literal["there", "gone", "differs"]
"""What somebody saw in the store room: the kit, no kit, or the kit with parts that differ."""
Booked = Literal["shelf", "out", "lost"]
"""Where a kit is by the books."""
NOT_FOUND = "not found at stocktaking"
"""Why a kit is out of use that should have been there; one that is there again is in use again."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What was seen of a kit, where it was by the books just then, and what its tray lacked."""

    kit: KitId
    seen: Seen
    booked: Booked
    missing: Parts = ()


@dataclass(frozen=True, slots=True)
class Amends:
    """A kit that isn't as the books have it: the entries that would put that right, with parts.

    Without any, the books are to stay as they are: it isn't there, and is out of use already.
    """

    kit: KitId
    seen: Seen
    booked: Booked
    entries: tuple[tuple[EntryKind, Parts], ...] = ()


def booked(position: Position) -> Booked:
    """Return where a kit is by the books."""
    if position.lost is not None:
        return "lost"
    return "out" if position.out else "shelf"


def overtaken(position: Position, looked: Looked) -> bool:
    """Say whether a kit moved by the books since it was looked at: it is to be looked at again."""
    return booked(position) != looked.booked


def amends(position: Position, looked: Looked) -> Amends | None:
    """Return what is to be put right about a kit, or None where all is as the books have it."""
    entries: list[tuple[EntryKind, Parts]] = []
    if looked.seen == "gone":
        if looked.booked != "shelf":
            return None
        if position.use is Use.IN_USE:
            entries.append((EntryKind.WITHDRAWN, ()))
        return Amends(looked.kit, looked.seen, looked.booked, tuple(entries))
    if looked.booked == "out":
        entries.append((EntryKind.TAKEN_BACK, ()))
    elif looked.booked == "lost":
        entries.append((EntryKind.FOUND, ()))
    if position.withdrawn == NOT_FOUND:
        entries.append((EntryKind.RESTORED, ()))
    if looked.seen == "differs":
        new, back = changed(position.missing, looked.missing)
        entries += [(EntryKind.SHORT, new)] if new else []
        entries += [(EntryKind.PARTS_IN, back)] if back else []
    if not entries:
        return None
    return Amends(looked.kit, looked.seen, looked.booked, tuple(entries))


def next_to_see(order: Iterable[KitId], done: Iterable[KitId], after: KitId | None) -> KitId | None:
    """Return the next kit of a walk that nobody has looked at yet, going round once."""
    walk, seen = list(order), set(done)
    start = walk.index(after) + 1 if after in walk else 0
    round_ = [*walk[start:], *walk[:start]]
    return next((kit for kit in round_ if kit not in seen), None)
