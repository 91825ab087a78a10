"""What is said of a battery a second time, soon after, replaces what it contradicts."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from clubbot.rules.entries import Entry, EntryKind

_SOON = timedelta(hours=1)
"""In less time no charge makes much of an empty battery; common practice, no source."""
_APART = 30
"""Per cent between two levels that can't both be; common practice, no source."""
_SIGHTS = (EntryKind.LEVEL_SEEN, EntryKind.RAN_FLAT, EntryKind.STILL_RUNNING)
_BETWEEN = (EntryKind.CHARGED, EntryKind.FOUND_FLAT, EntryKind.RUN_TIME_TESTED)


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries but for what a later sight of the same battery contradicts."""
    kept: list[Entry] = []
    last: Entry | None = None
    for entry in entries:
        sight = entry.kind in _SIGHTS
        if sight and last is not None and _contradicts(entry, last):
            kept.remove(last)
        kept.append(entry)
        if sight or entry.kind in _BETWEEN:
            last = entry if sight else None
    return kept


def _contradicts(later: Entry, earlier: Entry) -> bool:
    """Say whether two sights can't both be right; one that ran may well have run flat since."""
    if later.happened_at - earlier.happened_at > _SOON:
        return False
    level = later.detail.percent or 0
    match earlier.kind, later.kind:
        case EntryKind.RAN_FLAT, EntryKind.STILL_RUNNING:
            return True
        case EntryKind.RAN_FLAT, EntryKind.LEVEL_SEEN:
            return level > _APART
        case EntryKind.LEVEL_SEEN, EntryKind.LEVEL_SEEN:
            return abs(level - (earlier.detail.percent or 0)) > _APART
        case _:
            return False
