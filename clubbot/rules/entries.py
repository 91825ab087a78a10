"""One line of the ledger: the kinds there are, what each says, and how parts are counted.

Parts move between a kit's tray, the shelf of its kit type, what was found without a home, the
broken ones and the supplier; `rules/stock/books.py` keeps the accounts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Literal

from clubbot.rules.model import BookingId, ItemId, KitId, KitTypeId, PersonId, Seq, TeamId


class EntryKind(StrEnum):
    """The kinds of entry; the word is what history shows and what the store keeps."""

    GIVEN_OUT = "given out"
    SAID_BACK = "said to be back"
    TAKEN_BACK = "taken back"
    PASSED_ON = "passed on"
    EXTENDED = "due later"
    HELD = "put on hold"
    RELEASED = "released"
    WITHDRAWN = "put out of use"
    RESTORED = "put back in use"
    LOST = "lost"
    FOUND = "found"
    SCRAPPED = "scrapped"
    CHARGED = "charged"
    RAN_FLAT = "ran flat"
    FOUND_FLAT = "found flat"
    LEVEL_SEEN = "level seen"
    STILL_RUNNING = "still running"
    RUN_TIME_TESTED = "run time tested"
    SHORT_USES = "short uses only"
    ALL_USES = "all uses again"
    SHORT = "short of parts"
    PARTS_IN = "parts put in"
    COUNTED = "counted"
    PARTS_LENT = "parts lent"
    PARTS_OUT = "parts taken out"
    PARTS_BROKEN = "parts broken"
    PARTS_BOUGHT = "parts bought"
    PARTS_ORDERED = "parts ordered"
    PARTS_FOUND = "parts found"
    PARTS_SHELVED = "parts shelved"
    PARTS_SENT = "parts sent off"
    SHELF_COUNTED = "shelf counted"
    FITTED = "fitted"
    TAKEN_OFF = "taken off"
    SENT_IN = "sent to the supplier"
    REPAIRED = "repaired"
    REPLACED = "replaced"
    REFUSED = "claim refused"
    VERSION = "version noted"
    WENT_BACK = "back to old version"
    CORRECTED = "corrected"


Parts = tuple[tuple[str, int], ...]
"""(a part's name, how many), each part once, in the order of the names."""

PartsFrom = Literal["", "shelf", "found", "broken", "supplier", "kit"]
"""Where parts come from; empty: they turned up, or lay where the kind of entry says."""


Before = tuple[BookingId, int, tuple[KitId, ...], tuple[KitId, ...]]
"""A booking as it was: how many kits, those chosen, those of them asked for by name."""


@dataclass(frozen=True, slots=True)
class Detail:
    """Version 1 of the payload; each kind of entry fills what it needs and leaves the rest.

    `due` is an instant; `note` is a reason in somebody's words, or a
    version. `parts` are those that were found
    missing or put in, of a full count all that are missing, of the shelf's all that lie there;
    `source` is where they came from, `other` the kit that they were lent to or by.
    `percent` is a level of charge (`rough` where it was read off bars), of "ran flat" how sure it
    is that the battery was the cause (`rough`: with another it may have been empty all the same);
    `minutes` is how long a unit was driven, of "still running" from a full charge; `own`: it is
    said of the kit's tablet.
    `before` is how the bookings stood that the deed changed, so that undoing it finds them.
    """

    team: TeamId | None = None
    booking: BookingId | None = None
    due: datetime | None = None
    note: str = ""
    parts: Parts = ()
    percent: int | None = None
    rough: bool = False
    minutes: int | None = None
    own: bool = False
    before: tuple[Before, ...] = ()
    source: PartsFrom = ""
    other: KitId | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the ledger: about a kit, an item, or (fitted, taken off) both.

    `kit_type` says whose parts it moves; without a kit and an item it is about the shelf's.
    """

    seq: Seq
    kind: EntryKind
    happened_at: datetime
    said_at: datetime
    said_by: PersonId | None
    kit: KitId | None = None
    item: ItemId | None = None
    detail: Detail = Detail()
    cancels: Seq | None = None
    kit_type: KitTypeId | None = None


def added(parts: Parts, more: Iterable[tuple[str, int]]) -> Parts:
    """Return parts with more of them, or fewer where a number is negative; none are left out."""
    numbers = dict(parts)
    for part, number in more:
        numbers[part] = numbers.get(part, 0) + number
    return tuple(sorted((part, number) for part, number in numbers.items() if number > 0))
