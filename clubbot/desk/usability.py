"""How kits may be used: out of use and back, and off hold once an adult has looked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clubbot.desk import in_hand, waiting
from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import named
from clubbot.desk.replanning import plan_anew
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import UseChanged
from clubbot.store import faults
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

LONGEST_NOTE = 300
_BACK_IN_USE = frozenset({EntryKind.RESTORED, EntryKind.RELEASED})


@deed(Deed.WITHDRAW)
def withdraw(tx: Tx, who: Who, text: str) -> UseChanged | Refused:
    """Put kits out of use, with a reason after the labels, and plan their bookings anew."""
    labels, _, note = text.partition(":")
    return _change_use(tx, who, labels, note.strip()[:LONGEST_NOTE], EntryKind.WITHDRAWN)


@deed(Deed.WITHDRAW)
def restore(tx: Tx, who: Who, text: str) -> UseChanged | Refused:
    """Put kits that are out of use back in use; a hold stays."""
    return _change_use(tx, who, text, "", EntryKind.RESTORED)


@deed(Deed.WITHDRAW)
def restore_kit(tx: Tx, who: Who, kit: KitId) -> UseChanged | Refused:
    """Put one kit back in use."""
    now = kits(tx, who.club).get(kit)
    if now is None or not _changes(now, EntryKind.RESTORED):
        return Refused(Reason.OUT_OF_DATE)
    return _away(tx, who, [now]) or change_use(tx, who, [now], "", EntryKind.RESTORED)


@deed(Deed.RELEASE)
def release(tx: Tx, who: Who, text: str) -> UseChanged | Refused:
    """Take kits off hold: an adult has looked, and their dangers are closed as found."""
    labels, _, found = text.partition(":")
    changed = _change_use(tx, who, labels, "", EntryKind.RELEASED)
    return changed if isinstance(changed, Refused) else _looked(tx, who, changed, found.strip())


@deed(Deed.RELEASE)
def release_kit(tx: Tx, who: Who, kit: KitId) -> UseChanged | Refused:
    """Take one kit off hold: an adult has looked."""
    now = kits(tx, who.club).get(kit)
    if now is None or not _changes(now, EntryKind.RELEASED):
        return Refused(Reason.OUT_OF_DATE)
    return _looked(tx, who, change_use(tx, who, [now], "", EntryKind.RELEASED), "")


def _looked(tx: Tx, who: Who, changed: UseChanged, found: str) -> UseChanged:
    found = found[:LONGEST_NOTE]
    closed = in_hand.looked(tx, who, [ref.id for ref in changed.kits], found)
    return replace(changed, closed=closed, found=found)


def _change_use(tx: Tx, who: Who, text: str, note: str, kind: EntryKind) -> UseChanged | Refused:
    known = kits(tx, who.club)
    wanted = named(text, known, {})
    if isinstance(wanted, Refused):
        return wanted
    if gone := _gone(wanted.kits):
        return gone
    chosen = [now for now in wanted.kits if _changes(now, kind)]
    if kind is EntryKind.RESTORED and (away := _away(tx, who, chosen)):
        return away
    if not chosen:
        labels = tuple(now.kit.label for now in wanted.kits)
        reason = Reason.ALREADY if labels else Reason.UNKNOWN_KIT
        stand = {str(now.position.use) for now in wanted.kits}
        what = stand.pop() if len(stand) == 1 and kind in _BACK_IN_USE else str(kind)
        return Refused(reason, {"what": what, "labels": labels, "word": ""})
    return change_use(tx, who, chosen, note, kind)


def _gone(meant: Sequence[KitNow]) -> Refused | None:
    """Return that kits are lost or scrapped, whatever else is said of their use."""
    for use, what in ((Use.LOST, "lost thing"), (Use.SCRAPPED, "scrapped thing")):
        labels = tuple(now.kit.label for now in meant if now.position.use is use)
        if labels:
            return Refused(Reason.ALREADY, {"what": what, "labels": labels, "word": ""})
    return None


def _away(tx: Tx, who: Who, chosen: list[KitNow]) -> Refused | None:
    """Return why kits stay out of use whose fault waits for the supplier: an adult ends that."""
    if may(who.role, Deed.CLAIM):
        return None
    notes = {now.position.withdrawn for now in chosen}
    out = (line for line in faults.still_open(tx, who.club) if line.at_supplier)
    line = next((line for line in out if f"fault {line.number}" in notes), None)
    return Refused(Reason.AT_SUPPLIER, {"number": line.number}) if line else None


def change_use(tx: Tx, who: Who, chosen: list[KitNow], note: str, kind: EntryKind) -> UseChanged:
    """Write down how kits may be used from now on, and plan their bookings anew."""
    who.append(tx, [Draft(kind, kit=now.kit.id, detail=Detail(note=note)) for now in chosen])
    after = kits(tx, who.club)
    strictest = max((after[now.kit.id].position.use for now in chosen), key=list(Use).index)
    swaps, short = plan_anew(tx, who)
    if kind in _BACK_IN_USE:
        waiting.serve(tx, who)
    return UseChanged(tuple(now.ref for now in chosen), str(strictest), note, swaps, short)


def _changes(now: KitNow, kind: EntryKind) -> bool:
    match kind:
        case EntryKind.WITHDRAWN:
            return now.position.withdrawn is None
        case EntryKind.RESTORED:
            return now.position.withdrawn is not None
        case _:
            return now.position.held is not None
