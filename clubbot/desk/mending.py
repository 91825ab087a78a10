"""What becomes of a fault: what it hangs on, how its kit may be used, what was done, it is back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from clubbot.desk import blaming, danger, fault, swapping, usability
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.triage import works_with
from clubbot.rules.faults.asides import says_unknown
from clubbot.rules.faults.blame import likely_fixes
from clubbot.rules.faults.knowledge import known
from clubbot.rules.ledger import EntryKind, Use
from clubbot.rules.model import FaultId, ItemKind, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    CauseNoted,
    ClaimLine,
    DangerReported,
    FaultCard,
    FaultClosed,
    FaultLine,
    FaultReported,
    FixWanted,
    UseChanged,
)
from clubbot.store import causes, claims, dialogues, evidence, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

STEP = "fix"
OFFERED = 4
"""How many usual fixes are offered: more are not read."""
_MORE = re.compile(r"(?:(?:,|&|and\b)?\s*#?\d{1,9}(?![\w.])\s*)+", re.IGNORECASE)
"""Numbers before what was done: "2 3 4 prank" behind a first one."""
_USES = {"out": EntryKind.WITHDRAWN, "hold": EntryKind.HELD}


@look(Deed.SEE_FAULTS)
def card(tx: Tx, who: Who, number: int) -> FaultCard | Refused:
    """Return a fault with all that became of it, closed or not."""
    line = faults.by_number(tx, who.club, number)
    if line is None:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number})
    return _card(tx, who, line)


def _card(tx: Tx, who: Who, line: FaultLine) -> FaultCard:
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    seen = evidence.pictures(tx, who.club, line.id)
    kinds = [each.kind for each in seen]
    claim = claims.of_fault(tx, who.club, line.id)
    opened = line.closed_at is None
    return FaultCard(
        fault=line,
        steps=tuple(evidence.steps(tx, who.club, line.id)),
        photos=kinds.count("photo"),
        videos=kinds.count("video"),
        unseen=sum(not each.looked for each in seen),
        copied=sum(each.copied for each in seen),
        use=str(now.position.use) if now else "",
        things=tuple(str(kind) for kind in ItemKind) if opened and now else (),
        offer=swapping.offer(tx, who, now.kit.id) if now and opened and not line.watched else None,
        claim=ClaimLine(line.id, line.number, line.kit, claim.sent_at, claim.promised_on)
        if claim
        else None,
        claimable=opened and not blaming.person_only(tx, who.club, line),
    )


def standing(tx: Tx, who: Who, number: FaultId) -> FaultLine | None:
    """Return a fault that isn't closed."""
    line = faults.by_id(tx, who.club, number)
    return line if line is not None and line.closed_at is None else None


@deed(Deed.CLOSE_FAULT)
def close(tx: Tx, who: Who, number: int | None, fix: str) -> FaultClosed | FixWanted | Refused:
    """Close a fault with what was done, or ask what that was; danger is closed by an adult only.

    Without a number there is no telling which; with several it isn't one that is closed.
    """
    if number is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "fixed"})
    line = faults.by_number(tx, who.club, number)
    if line is None or line.closed_at is not None:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number})
    if more := _MORE.match(fix):
        standing = {each.number for each in faults.still_open(tx, who.club)}
        if {int(each) for each in re.findall(r"\d+", more[0])} <= standing:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "fixed one"})
    return _close(tx, who, line, fix.strip())


@deed(Deed.CLOSE_FAULT)
def close_it(tx: Tx, who: Who, number: FaultId) -> FaultClosed | FixWanted | Refused:
    """Ask what was done about a fault, by its button."""
    line = standing(tx, who, number)
    return Refused(Reason.OUT_OF_DATE) if line is None else _close(tx, who, line, "")


@deed(Deed.CLOSE_FAULT)
def fixed_by(tx: Tx, who: Who, number: FaultId, cause: str) -> FaultClosed | FixWanted | Refused:
    """Close a fault with the usual fix of a cause."""
    line = standing(tx, who, number)
    if line is None or cause not in known().causes:
        return Refused(Reason.OUT_OF_DATE)
    return _close(tx, who, line, known().causes[cause].did, cause)


def take_answer(
    tx: Tx, who: Who, text: str, facts: Mapping[str, Any]
) -> FaultClosed | FixWanted | Refused:
    """Take typed words for what was done about the fault that was asked about."""
    line = standing(tx, who, FaultId(int(facts["fault"])))
    if line is None or not may(who.role, Deed.CLOSE_FAULT):
        dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
        return Refused(Reason.OUT_OF_DATE)
    if says_unknown(text):
        return FixWanted(line, _likely(tx, who, line), again=True)
    return _close(tx, who, line, text.strip())


def _close(
    tx: Tx, who: Who, line: FaultLine, fix: str, cause: str = ""
) -> FaultClosed | FixWanted | Refused:
    if line.danger and not may(who.role, Deed.RELEASE):
        return Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.RELEASE)})
    if line.at_supplier and not may(who.role, Deed.CLAIM):
        return Refused(Reason.AT_SUPPLIER, {"number": line.number})
    asking = who.asking
    if not fix:
        facts = {"fault": line.id}
        dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
        return FixWanted(line, _likely(tx, who, line))
    if asking.telegram_id:
        dialogues.end(tx, asking.chat_id, asking.telegram_id)
    return closed(tx, who, line, fix, cause)


def closed(tx: Tx, who: Who, line: FaultLine, fix: str, cause: str = "") -> FaultClosed:
    """Close a fault with what was done, and what was behind it where that is known."""
    cause = cause or causes.cause_of(tx, who.club, line.id)
    faults.close(tx, who.club, line.id, fix, who.now)
    evidence.note(tx, who.club, line.id, who.now, "fixed", fix)
    claims.change(tx, who.club, line.id, ended_at=who.now)
    if cause:
        faults.change(tx, who.club, line.id, cause=cause)
        line = blaming.hang(tx, who.club, line, who.now, cause)
        blaming.follow_battery(tx, who, line)
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    unusable = now is not None and now.position.use is not Use.IN_USE
    asks = () if cause else _likely(tx, who, line)
    held = now is not None and now.position.held is not None
    return FaultClosed(line.number, line.kit, fix, unusable, line.id, asks, held, line.at_supplier)


def _likely(tx: Tx, who: Who, line: FaultLine) -> tuple[str, ...]:
    if line.danger:
        return ()
    return likely_fixes(known(), blaming.suspected(tx, who.club, line), OFFERED)


@deed(Deed.CLOSE_FAULT)
def because(tx: Tx, who: Who, number: FaultId, cause: str) -> CauseNoted | Refused:
    """Note what was behind a fault that was just closed; the next ones are judged by it."""
    line = faults.by_id(tx, who.club, number)
    if line is None or line.closed_at is None or cause not in known().causes:
        return Refused(Reason.OUT_OF_DATE)
    faults.change(tx, who.club, line.id, cause=cause)
    blaming.follow_battery(tx, who, blaming.hang(tx, who.club, line, who.now, cause))
    return CauseNoted(line.number, cause)


@deed(Deed.REPORT_FAULT)
def is_back(tx: Tx, who: Who, number: FaultId) -> FaultReported | DangerReported | Refused:
    """Open a fault again that was closed in the last two weeks; danger alarms, however old."""
    line = faults.by_id(tx, who.club, number)
    lately = line is not None and line.closed_at is not None
    if line is None or not lately or not works_with(tx, who, line):
        return Refused(Reason.OUT_OF_DATE)
    if line.danger:
        return danger.back_again(tx, who, line)
    if line.closed_at is not None and line.closed_at < who.now - fault.BACK_WITHIN:
        return Refused(Reason.OUT_OF_DATE)
    return fault.reopened(tx, who, line.id, "") or Refused(Reason.OUT_OF_DATE)


@deed(Deed.CLOSE_FAULT)
def watch(tx: Tx, who: Who, number: FaultId) -> FaultCard | UseChanged | Refused:
    """Note that a kit may be used all the same: somebody watches it. Danger is never watched."""
    line = standing(tx, who, number)
    if line is None or line.danger or line.kit is None or line.at_supplier:
        return Refused(Reason.OUT_OF_DATE)
    faults.change(tx, who.club, line.id, watched=True)
    evidence.note(tx, who.club, line.id, who.now, "watched")
    now = kits(tx, who.club)[line.kit.id]
    if now.position.withdrawn == reason(line):
        usability.change_use(tx, who, [now], "", EntryKind.RESTORED)
    return _card(tx, who, faults.by_id(tx, who.club, line.id) or line)


@deed(Deed.WITHDRAW)
def put(tx: Tx, who: Who, number: FaultId, use: str) -> UseChanged | Refused:
    """Put the kit of a fault out of use ("out"), or on hold until an adult has looked ("hold")."""
    line = standing(tx, who, number)
    now = kits(tx, who.club).get(line.kit.id) if line and line.kit else None
    kind = _USES.get(use)
    if line is None or now is None or kind is None:
        return Refused(Reason.OUT_OF_DATE)
    stands = now.position.withdrawn if kind is EntryKind.WITHDRAWN else now.position.held
    if stands is not None:
        facts = {"what": str(kind), "labels": (now.kit.label,), "word": ""}
        return Refused(Reason.ALREADY, facts)
    faults.change(tx, who.club, line.id, watched=False)
    evidence.note(tx, who.club, line.id, who.now, "out of use" if use == "out" else "on hold")
    return usability.change_use(tx, who, [now], reason(line), kind)


def reason(line: FaultLine) -> str:
    """Return what stands as the reason where a kit isn't used because of a fault."""
    return f"fault {line.number}"


@deed(Deed.CLOSE_FAULT)
def blame(tx: Tx, who: Who, number: FaultId, thing: str) -> FaultCard | Refused:
    """Say what of the kit is to blame ("unit", "battery" and so on), or "kit": none of them."""
    line = standing(tx, who, number)
    if line is None or line.kit is None or thing not in ("kit", *ItemKind):
        return Refused(Reason.OUT_OF_DATE)
    blaming.hang_on(tx, who.club, line, "" if thing == "kit" else thing, who.now)
    evidence.note(tx, who.club, line.id, who.now, blaming.BY_HAND, thing)
    return _card(tx, who, faults.by_id(tx, who.club, line.id) or line)
