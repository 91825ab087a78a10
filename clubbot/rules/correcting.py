"""Corrections: what taking back an entry asks of a person, and what would not fit without it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from clubbot.rules.ledger import Entry, EntryKind, replay
from clubbot.rules.model import Seq
from clubbot.rules.permissions import Deed

NEEDS: dict[EntryKind, Deed] = {
    EntryKind.HELD: Deed.RELEASE,
    EntryKind.RELEASED: Deed.RELEASE,
    EntryKind.WITHDRAWN: Deed.WITHDRAW,
    EntryKind.RESTORED: Deed.WITHDRAW,
    EntryKind.LOST: Deed.LOSE,
    EntryKind.FOUND: Deed.LOSE,
    EntryKind.SCRAPPED: Deed.SET_UP,
    EntryKind.FITTED: Deed.SET_UP,
    EntryKind.TAKEN_OFF: Deed.SET_UP,
    EntryKind.CHARGED: Deed.SIGN_CHARGE,
    EntryKind.VERSION: Deed.VERSIONS,
    EntryKind.WENT_BACK: Deed.VERSIONS,
    EntryKind.SENT_IN: Deed.CLAIM,
    EntryKind.REPAIRED: Deed.CLAIM,
    EntryKind.REPLACED: Deed.CLAIM,
    EntryKind.REFUSED: Deed.CLAIM,
}
"""What a person must be allowed for a kind of entry to be taken back; the rest needs no more."""


def needed(kind: EntryKind) -> Deed:
    """Return what one must be allowed to take an entry of this kind back."""
    return NEEDS.get(kind, Deed.UNDO)


def cancelled_by(entries: Iterable[Entry]) -> dict[Seq, Entry]:
    """Return each entry that doesn't stand, by its number, with the correction that cancels it.

    Where several corrections of one entry stand it is the newest.
    """
    found: dict[Seq, Entry] = {}
    for entry in sorted(entries, key=lambda each: each.seq, reverse=True):
        if entry.kind is EntryKind.CORRECTED and entry.seq not in found and entry.cancels:
            found.setdefault(entry.cancels, entry)
    return found


def contradicted(history: Sequence[Entry], gone: Collection[Seq]) -> Entry | None:
    """Return what would not fit any more without these entries, the first of it; None if all does.

    `history` is all of one kit or one item, corrections included.
    """
    without = [*history, *_corrections(history, gone)]
    before = {each.seq for each in replay(history).misfits}
    after = (each for each in replay(without).misfits if each.seq not in before)
    return next(after, None)


def _corrections(history: Sequence[Entry], gone: Collection[Seq]) -> list[Entry]:
    first = 1 + max((each.seq for each in history), default=0)
    cancelled = [each for each in history if each.seq in gone]
    return [
        replace(each, seq=Seq(first + place), kind=EntryKind.CORRECTED, cancels=each.seq)
        for place, each in enumerate(cancelled)
    ]


def newest_first(entries: Iterable[Entry]) -> list[Entry]:
    """Return what happened, the newest first; corrections are no happenings of their own."""

    def at(entry: Entry) -> tuple[datetime, Seq]:
        return entry.happened_at, entry.seq

    happened = (each for each in entries if each.kind is not EntryKind.CORRECTED)
    return sorted(happened, key=at, reverse=True)
