"""Claims: a ready letter to the supplier about a fault, and that it was sent."""

from __future__ import annotations

from clubbot.desk.acting import Who, deed, look
from clubbot.rules.faults.triage import Outcome
from clubbot.rules.model import FaultId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import ClaimedItem, ClaimLetter, ClaimSent
from clubbot.store import evidence, faults, losses
from clubbot.store.engine import Tx


@look(Deed.CLAIM)
def letter(tx: Tx, who: Who, number: int) -> ClaimLetter | Refused:
    """Return what a letter about a fault says: the items, what is seen, what was checked.

    The things that the letter is about are all that are fitted to the kit: which one is to blame
    the supplier finds.
    """
    line = next((each for each in faults.still_open(tx, who.club) if each.number == number), None)
    if line is None:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number})
    fitted = losses.items_of(tx, who.club, line.kit.id) if line.kit else []
    dates = faults.purchase_of(tx, who.club, [each.id for each in fitted])
    items = tuple(ClaimedItem(i.kind, i.serial, *dates.get(i.id, (None, None))) for i in fitted)
    kinds = [each.kind for each in evidence.pictures(tx, who.club, line.id)]
    photos, videos = kinds.count("photo"), kinds.count("video")
    mended = any(each.outcome == Outcome.WORKED for each in line.checked)
    return ClaimLetter(line, items, photos, videos, who.club_name, who.name, mended)


@deed(Deed.CLAIM)
def sent(tx: Tx, who: Who, fault: FaultId) -> ClaimSent | Refused:
    """Note that the letter was sent: the fault waits for the supplier and stays open."""
    line = next((each for each in faults.still_open(tx, who.club) if each.id == fault), None)
    if line is None:
        return Refused(Reason.OUT_OF_DATE)
    faults.change(tx, who.club, line.id, state="at the supplier")
    return ClaimSent(line.number)
