"""What follows a letter to the supplier: a promised day, what came back, a new serial."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from clubbot.desk import blaming, energy, mending, usability
from clubbot.desk.acting import Who, deed, look
from clubbot.rules.calendar import DAY
from clubbot.rules.faults.asides import says_unknown
from clubbot.rules.ledger import Detail, Entry, EntryKind, Use
from clubbot.rules.model import FaultId, ItemId, ItemKind, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    ClaimEnded,
    ClaimLine,
    ClaimSent,
    ClaimsOut,
    ClaimStands,
    FaultLine,
    SerialWanted,
    UseChanged,
)
from clubbot.rules.setup import read_days
from clubbot.rules.tidy import tidy
from clubbot.store import claims, dialogues, evidence, faults, fitting
from clubbot.store.claims import ClaimRow
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft

STEP = "new serial"
_ENDS = {
    "repaired": EntryKind.REPAIRED,
    "replaced": EntryKind.REPLACED,
    "refused": EntryKind.REFUSED,
}
_BY = re.compile(r"\s*(?:by|until|promised|due)\b\s*(?:by\b)?", re.IGNORECASE)
_OF = re.compile(r"fault (\d+)")
LONGEST_SERIAL = 60


@look(Deed.CLAIM)
def out(tx: Tx, who: Who) -> ClaimsOut:
    """Return the letters that the supplier has not answered."""
    return ClaimsOut(tuple(standing(tx, who)))


def standing(tx: Tx, who: Who) -> list[ClaimLine]:
    """Return the letters that are out, each with its fault."""
    found = [(row, faults.by_id(tx, who.club, row.fault)) for row in claims.standing(tx, who.club)]
    return [_shown(line, row) for row, line in found if line is not None]


def _shown(line: FaultLine, row: ClaimRow) -> ClaimLine:
    return ClaimLine(line.id, line.number, line.kit, row.sent_at, row.promised_on)


@deed(Deed.CLAIM)
def sent(tx: Tx, who: Who, number: FaultId) -> ClaimSent | Refused:
    """Note that the letter was sent: the fault waits for the supplier and stays open."""
    line = mending.standing(tx, who, number)
    if line is None or line.at_supplier or blaming.person_only(tx, who.club, line):
        return Refused(Reason.OUT_OF_DATE)
    item = faults.item_of(tx, who.club, line.id)
    claims.add(tx, who.club, line.id, item, who.now)
    faults.change(tx, who.club, line.id, state="at the supplier")
    evidence.note(tx, who.club, line.id, who.now, "sent")
    _enter(tx, who, line, EntryKind.SENT_IN, item, "")
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    usable = now is not None and now.position.use is Use.IN_USE
    return ClaimSent(line.number, line.id, line.kit, line.thing, usable, line.danger)


def _enter(
    tx: Tx, who: Who, line: FaultLine, kind: EntryKind, item: ItemId | None, words: str
) -> None:
    if line.kit is not None:
        note = f"{mending.reason(line)}: {words}" if words else mending.reason(line)
        draft = Draft(kind, kit=line.kit.id, item=item, detail=Detail(note=note[:300]))
        who.append(tx, [draft])


@deed(Deed.CLAIM)
def promised(tx: Tx, who: Who, number: FaultId, days: int) -> ClaimStands | Refused:
    """Note that an answer is promised within so many days."""
    line = mending.standing(tx, who, number)
    today = who.now.astimezone(who.zone).date()
    return (
        Refused(Reason.OUT_OF_DATE) if line is None else _promise(tx, who, line, today + days * DAY)
    )


def _promise(tx: Tx, who: Who, line: FaultLine, day: date) -> ClaimStands | Refused:
    claims.change(tx, who.club, line.id, promised_on=day)
    row = claims.of_fault(tx, who.club, line.id)
    if row is None:
        return Refused(Reason.OUT_OF_DATE)
    evidence.note(tx, who.club, line.id, who.now, "promised", day.isoformat())
    return _stands(line, row)


def _stands(line: FaultLine, row: ClaimRow) -> ClaimStands:
    return ClaimStands(_shown(line, row), line.thing, line.danger, _mendable(line))


def _mendable(line: FaultLine) -> bool:
    """Say whether it may come back repaired: a battery that is dangerous never does."""
    return not (line.danger and line.thing == ItemKind.BATTERY)


@look(Deed.CLAIM)
def stands(tx: Tx, who: Who, number: int) -> ClaimStands | None:
    """Return the letter about a fault that is out, if one is."""
    line = faults.by_number(tx, who.club, number)
    row = claims.of_fault(tx, who.club, line.id) if line else None
    return _stands(line, row) if line and row else None


@deed(Deed.CLAIM)
def said(
    tx: Tx, who: Who, number: int, text: str
) -> ClaimEnded | ClaimStands | SerialWanted | Refused:
    """Note what the supplier says: "by 12 Dec", "repaired", "replaced S-99", "refused: why"."""
    line = faults.by_number(tx, who.club, number)
    if line is None or claims.of_fault(tx, who.club, line.id) is None:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number})
    word, _, rest = text.partition(" ")
    word, rest = word.strip(":,.").lower(), rest.strip()
    if word in _ENDS:
        return _ended(tx, who, line, word, rest)
    today = who.now.astimezone(who.zone).date()
    days = read_days(_BY.sub("", text, count=1).strip(), today, who.zone)
    if days is None or days[0] < today:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "claim"})
    return _promise(tx, who, line, days[0])


@deed(Deed.CLAIM)
def ended(tx: Tx, who: Who, number: FaultId, outcome: str) -> ClaimEnded | SerialWanted | Refused:
    """Note by a button what came of a claim; "noserial": replaced, and nothing is written on it."""
    line = mending.standing(tx, who, number)
    if line is None or claims.of_fault(tx, who.club, line.id) is None:
        return Refused(Reason.OUT_OF_DATE)
    if outcome == "replaced":
        facts = {"fault": line.id}
        asking = who.asking
        dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
        return SerialWanted(line.number, line.id, _kind(line))
    if outcome == "noserial":
        return _replaced(tx, who, line, "")
    if outcome not in _ENDS:
        return Refused(Reason.OUT_OF_DATE)
    return _ended(tx, who, line, outcome, "")


def take_answer(
    tx: Tx, who: Who, text: str, facts: Mapping[str, Any]
) -> ClaimEnded | SerialWanted | Refused:
    """Take typed words for the serial of what came new."""
    line = mending.standing(tx, who, FaultId(int(facts["fault"])))
    if line is None or not may(who.role, Deed.CLAIM) or len(tidy(text)) > LONGEST_SERIAL:
        return Refused(Reason.OUT_OF_DATE)
    if says_unknown(text):
        return SerialWanted(line.number, line.id, _kind(line))
    return _replaced(tx, who, line, tidy(text))


def _ended(
    tx: Tx, who: Who, line: FaultLine, outcome: str, words: str
) -> ClaimEnded | SerialWanted | Refused:
    if outcome == "replaced":
        if len(tidy(words)) > LONGEST_SERIAL:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "claim"})
        return _replaced(tx, who, line, tidy(words))
    if outcome == "repaired" and not _mendable(line):
        return Refused(Reason.DAMAGED_BATTERY, {"number": line.number})
    _end(tx, who, line, outcome, words)
    if outcome == "refused":
        faults.change(tx, who.club, line.id, state="open")
        return _result(tx, who, line, outcome)
    mending.closed(tx, who, line, "repaired by the supplier")
    return _back_in_use(tx, who, line, outcome)


def _end(tx: Tx, who: Who, line: FaultLine, outcome: str, words: str) -> None:
    note = words[:300]
    claims.change(tx, who.club, line.id, outcome=outcome, note=note, ended_at=who.now)
    evidence.note(tx, who.club, line.id, who.now, outcome, note)
    item = faults.item_of(tx, who.club, line.id)
    _enter(tx, who, line, _ENDS[outcome], item, words)


def _kind(line: FaultLine) -> str:
    """Return what comes new: the thing to blame, the unit where nobody knows."""
    return line.thing or str(ItemKind.UNIT)


def _replaced(tx: Tx, who: Who, line: FaultLine, serial: str) -> ClaimEnded:
    """Fit what came new under the old label: the fault stays with the thing that went.

    It has the old one's price and warranty, as far as they are noted: suppliers rarely begin anew.
    """
    if who.asking.telegram_id:
        dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    kind = ItemKind(_kind(line))
    if not line.thing:
        # The fault goes with the old one: what is found on the new one is another.
        evidence.note(tx, who.club, line.id, who.now, blaming.BY_HAND, str(kind))
        line = blaming.hang_on(tx, who.club, line, str(kind), who.now)
    old = faults.item_of(tx, who.club, line.id)
    _end(tx, who, line, "replaced", f"new serial {serial}" if serial else "")
    if line.kit is not None:
        new = fitting.add(tx, who.club, kind, serial)
        if old is not None:
            fitting.bought_like(tx, who.club, new, old)
        energy.follow(tx, who, who.append(tx, fitting.put_in(tx, who.club, line.kit.id, new)))
    mending.closed(tx, who, line, "replaced by the supplier")
    fresh = replace(line, thing=str(kind), serial=serial)
    return _back_in_use(tx, who, fresh, "replaced")


def _back_in_use(tx: Tx, who: Who, line: FaultLine, outcome: str) -> ClaimEnded:
    """Put the kit back in use where it was out of use for this fault."""
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    changed: UseChanged | None = None
    if now is not None and now.position.withdrawn == mending.reason(line):
        changed = usability.change_use(tx, who, [now], "", EntryKind.RESTORED)
    result = _result(tx, who, line, outcome)
    return replace(result, swaps=changed.swaps, short=changed.short) if changed else result


def _result(tx: Tx, who: Who, line: FaultLine, outcome: str) -> ClaimEnded:
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    usable = now is not None and now.position.use is Use.IN_USE
    return ClaimEnded(
        line.number,
        line.id,
        outcome,
        line.kit,
        line.thing,
        line.serial,
        usable,
        danger=line.danger,
    )


def taken_back(tx: Tx, who: Who, undone: Iterable[Entry]) -> None:
    """Let letters follow where what was noted of them is taken back: sent, or what came of them."""
    for entry in undone:
        if entry.kind is not EntryKind.SENT_IN and entry.kind not in _ENDS.values():
            continue
        number = _OF.match(entry.detail.note)
        line = faults.by_number(tx, who.club, int(number[1])) if number else None
        if line is None:
            continue
        if entry.kind is EntryKind.SENT_IN:
            claims.forget(tx, who.club, line.id)
            if line.at_supplier:
                faults.change(tx, who.club, line.id, state="open")
        elif claims.of_fault(tx, who.club, line.id) is None:
            claims.stand_again(tx, who.club, line.id)
            again = {"closed_at": None, "fix": "", "state": "at the supplier"}
            faults.change(tx, who.club, line.id, **again)
        evidence.note(tx, who.club, line.id, who.now, "undone", str(entry.kind))
