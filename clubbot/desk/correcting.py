"""Taking entries back, and putting them back again: what undoing and the history have in common."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.desk import energy, in_hand, supplier
from clubbot.desk.acting import Who
from clubbot.desk.outcomes import follow_restoring, follow_undoing
from clubbot.rules.correcting import contradicted, needed
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import Reason, Refused
from clubbot.rules.permissions import may
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft, Subject, entries_about, subject_of


def take_back(tx: Tx, who: Who, entries: Sequence[Entry]) -> Refused | None:
    """Cancel these entries and let the bookings follow; None where it is done.

    Corrections among them are lifted, so that what they had cancelled stands again. Refused where
    something that came after would not fit any more, or this person may not.
    """
    entries = [*entries, *_other_halves(tx, who, entries)]
    for each in entries:
        if not may(who.role, needed(each.kind)):
            return Refused(Reason.NOT_ALLOWED, {"deed": str(needed(each.kind))})
    about: dict[Subject, list[Entry]] = {}
    for each in entries:
        about.setdefault(subject_of(each), []).append(each)
    known = kits(tx, who.club)
    lifted: list[Entry] = []
    for subject, mine in about.items():
        history = list(entries_about(tx, who.club, subject))
        gone = {each.seq for each in mine}
        if (later := contradicted(history, gone)) is not None:
            label = known[later.kit].kit.label if later.kit is not None else ""
            facts = {"label": label, "what": str(later.kind), "at": later.happened_at}
            return Refused(Reason.LATER_ENTRIES, facts)
        again = {each.cancels for each in mine if each.kind is EntryKind.CORRECTED}
        lifted += [each for each in history if each.seq in again]
    who.append(tx, [_correction(each) for each in reversed(entries)])
    energy.follow(tx, who, [*entries, *lifted])
    undone = [each for each in entries if each.kind is not EntryKind.CORRECTED]
    after = kits(tx, who.club)
    if undone:
        follow_undoing(tx, who, after, undone)
        supplier.taken_back(tx, who, undone)
        in_hand.held_again(tx, who, undone)
    if lifted:
        left = {known[each.kit].position.booking for each in lifted if each.kit is not None}
        follow_restoring(tx, who, after, lifted, left)
    return None


def _correction(of: Entry) -> Draft:
    return Draft(
        EntryKind.CORRECTED, kit=of.kit, item=of.item, kit_type=of.kit_type, cancels=of.seq
    )


def _other_halves(tx: Tx, who: Who, entries: Sequence[Entry]) -> list[Entry]:
    """Return what the other kit's history has of parts that were lent, where only one half is."""
    found: list[Entry] = []
    named = {each.seq for each in entries}
    for each in entries:
        if each.detail.other is None:
            continue
        found += [
            half
            for half in entries_about(tx, who.club, ("kit", each.detail.other))
            if half.said_at == each.said_at
            and half.detail.other == each.kit
            and half.detail.parts == each.detail.parts
            and half.seq not in named
        ]
    return found
