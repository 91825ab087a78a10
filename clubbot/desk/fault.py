"""Faults: reported, one more of an open one or back again; and a look at the open ones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

from clubbot.desk import blaming, danger, notices, swapping, triage
from clubbot.desk.acting import Who, deed, look
from clubbot.rules.faults import FaultReading, Symptom, read_fault
from clubbot.rules.faults.asides import only_label, says_it_recurs
from clubbot.rules.faults.hands_off import hands_off
from clubbot.rules.faults.parting import Part, read_parts
from clubbot.rules.ledger import Use
from clubbot.rules.model import FaultId, KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.reading import read_labels
from clubbot.rules.results import (
    DangerReported,
    FaultKitNeeded,
    FaultLine,
    FaultReported,
    OpenFaults,
    WhatIsWrong,
)
from clubbot.store import dialogues, evidence, faults, people
from clubbot.store.dialogues import Standing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits

STEP = "fault"
WHAT_STEP = "what is wrong"
OVER_AFTER = timedelta(hours=1)
BACK_WITHIN = timedelta(days=14)
"""Within this time the same fault of a kit is the old one, back again."""
MAY_MEAN = 0.3
"""From this share on a report may well mean a symptom that isn't its first."""
LATELY = timedelta(hours=12)
"""So long a report that says nothing of what is seen is about the fault reported just before."""
NEVER_BACK = frozenset({Symptom.UNCLEAR, Symptom.MISSING_PART, Symptom.BROKEN_PART})
"""Symptoms that say nothing of whether it is the same fault: another part, another trouble."""


@deed(Deed.REPORT_FAULT)
def report(
    tx: Tx, who: Who, text: str
) -> FaultReported | FaultKitNeeded | DangerReported | WhatIsWrong | Refused:
    """Note what somebody says is wrong; what can't be placed is a fault of unclear kind.

    Where only the kit is said it is asked what is wrong with it.
    """
    if not text:
        return Refused(Reason.SAY_WHAT)
    if (placed := danger.place(tx, who, text)) is not None:
        return placed
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    label = only_label(text, list(known))
    if label is not None:
        return ask_what(tx, who, known[label])
    return note_report(tx, who, text, read(tx, who, text))


def ask_what(tx: Tx, who: Who, now: KitNow) -> WhatIsWrong:
    """Ask what is wrong with a kit that is known already."""
    asking, facts = who.asking, {"kit": now.kit.id}
    dialogues.put(tx, asking.chat_id, asking.telegram_id, WHAT_STEP, facts, who.now)
    return WhatIsWrong(now.ref)


def reported(tx: Tx, who: Who, text: str) -> FaultReported | FaultKitNeeded | DangerReported:
    """Note a report in somebody's words."""
    if (placed := danger.place(tx, who, text)) is not None:
        return placed
    return note_report(tx, who, text, read(tx, who, text))


def read(tx: Tx, who: Who, text: str) -> FaultReading:
    """Read a text for what it says about the club's kits."""
    return read_fault(text, [now.kit.label for now in kits(tx, who.club).values()])


def note_report(
    tx: Tx, who: Who, text: str, reading: FaultReading, then: Standing | None = None
) -> FaultReported | FaultKitNeeded | DangerReported:
    """Note a report as read: danger first, then of the kits that are meant, or ask which.

    `then` is the dialogue that a report came into: it stands again when the kit is known.
    """
    known = kits(tx, who.club)
    labels = [now.kit.label for now in known.values()]
    parts = read_parts(text, labels, reading)
    meant = _meant(tx, who, known, parts[0].reading)
    if len(parts) == 1 and not parts[0].reading.danger and not meant:
        facts = {"said": text, "then": then and [then.step, then.facts]}
        return ask_which(tx, who, facts, read_labels(text, labels)[1])
    alarm = _alarmed(tx, who, text, reading, parts)
    results = [
        note(tx, who, now, part.reading, part.said)
        for part in parts
        if not part.reading.danger
        for now in _meant(tx, who, known, part.reading)
    ]
    if alarm is not None:
        return replace(alarm, also=tuple(each.fault for each in results))
    return replace(together(results), unknown=tuple(read_labels(text, labels)[1]))


def _alarmed(
    tx: Tx, who: Who, text: str, reading: FaultReading, parts: Sequence[Part]
) -> DangerReported | None:
    """Raise the alarm for the kits of those parts that tell of danger, if any does."""
    known, grave = kits(tx, who.club), [part.reading for part in parts if part.reading.danger]
    if not grave:
        return None
    named_in = tuple(dict.fromkeys(label for each in grave for label in each.kits))
    fire = reading.fire or any(each.fire for each in grave)
    whole = replace(reading if reading.danger else grave[0], kits=named_in, fire=fire)
    return danger.raise_alarm(tx, who, _meant(tx, who, known, whole), text, fire=fire)


def ask_which(
    tx: Tx, who: Who, facts: Mapping[str, Any], unknown: Sequence[str] = ()
) -> FaultKitNeeded:
    """Ask which kit it is: one of those that the writer's team has, where it has some."""
    known, asking = kits(tx, who.club), who.asking
    usable = [now for now in known.values() if now.position.use is Use.IN_USE]
    choices = tuple(now.ref for now in held_by(tx, who, known) or usable)
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
    pictures = bool(facts.get("pictures"))
    return FaultKitNeeded(str(facts["said"]), choices, tuple(unknown), with_photo=pictures)


def together(results: Sequence[FaultReported]) -> FaultReported:
    """Return what became of a report as one answer: first what is new."""
    first, *more = sorted(results, key=lambda each: each.joined)
    return replace(first, more=tuple(more))


def _meant(tx: Tx, who: Who, known: Mapping[KitId, KitNow], reading: FaultReading) -> list[KitNow]:
    """Return the kits a report is about: those named, or the one that the writer's team has."""
    named_kits = [now for now in known.values() if now.kit.label in reading.kits]
    if named_kits:
        return named_kits
    held = held_by(tx, who, known)
    return held if len(held) == 1 else []


def held_by(tx: Tx, who: Who, known: Mapping[KitId, KitNow]) -> list[KitNow]:
    """Return the kits that the writer's teams have now."""
    own = people.teams_of(tx, who.club, who.person)
    return [now for now in known.values() if now.position.out and now.position.team in own]


def note(tx: Tx, who: Who, now: KitNow, reading: FaultReading, said: str) -> FaultReported:
    """Note what is reported of one kit: a fault, one more of an open one, or one that is back."""
    symptom = reading.symptom or Symptom.UNCLEAR
    same = _same(tx, who, now, symptom, reading)
    if same is not None:
        faults.join(tx, who.club, same.id, said)
        triage.fails_still(tx, who, same)
        evidence.note(tx, who.club, same.id, who.now, "again", said)
        return _answer(tx, who, now, replace(same, said=f"{same.said} / {said}"), joined=True)
    recurs = says_it_recurs(said, [now.kit.label])
    if recurs or symptom not in NEVER_BACK:
        before = _back_again(tx, who, now, None if recurs else symptom, said)
        if before is not None:
            return before
    fault = faults.add(
        tx,
        who.club,
        kit=now.kit.id,
        symptom=symptom,
        danger=False,
        said=said,
        reported_by=who.person,
        now=who.now,
        deed=who.deed,
    )
    fault = blaming.hang(tx, who.club, fault, who.now)
    blaming.follow_battery(tx, who, fault)
    notices.tell_adults(tx, who, notices.FAULT, f"fault {fault.id}")
    return _answer(tx, who, now, fault)


def _same(tx: Tx, who: Who, now: KitNow, symptom: str, reading: FaultReading) -> FaultLine | None:
    """Return the open fault of a kit that a report is one more of.

    It has the same symptom, or one that the words may well mean too; words that say nothing of
    what is seen are about the kit's only fault, if that was reported today.
    """
    lines = faults.still_open(tx, who.club, now.kit.id)
    maybe = [code for code, share in reading.alternatives if share >= MAY_MEAN]
    for code in dict.fromkeys([symptom, *maybe]):
        found = next((line for line in lines if line.symptom == code and not line.danger), None)
        if found is not None:
            return found
    fresh = symptom == Symptom.UNCLEAR and len(lines) == 1 and not lines[0].danger
    return lines[0] if fresh and who.now - lines[0].reported_at < LATELY else None


def _answer(
    tx: Tx, who: Who, now: KitNow, fault: FaultLine, *, joined: bool = False, tried: str = ""
) -> FaultReported:
    """Return a report's answer, with a kit for the booking of now where another is free."""
    offer = None if fault.watched else swapping.offer(tx, who, now.kit.id)
    held = now.position.held is not None
    care = str(hands_off(fault.symptom, fault.said))
    return FaultReported(fault, joined, held, tried=tried, offer=offer, care=care)


def _back_again(
    tx: Tx, who: Who, now: KitNow, symptom: str | None, said: str
) -> FaultReported | None:
    """Open the fault again that was closed lately: what was done then didn't last."""
    kit, since = now.kit.id, who.now - BACK_WITHIN
    closed = faults.closed_since(tx, who.club, kit, symptom, since)
    if closed is None:
        return None
    return reopened(tx, who, closed[0], said)


def reopened(tx: Tx, who: Who, fault: FaultId, said: str) -> FaultReported | None:
    """Open a fault again with its history, and tell the adults; None where it is in no kit now."""
    before = faults.by_id(tx, who.club, fault)
    if before is None or before.kit is None:
        return None
    faults.reopen(tx, who.club, fault, said)
    evidence.note(tx, who.club, fault, who.now, "back", said)
    notices.tell_adults(tx, who, notices.FAULT, f"fault {fault}")
    line = faults.by_id(tx, who.club, fault) or before
    blaming.follow_battery(tx, who, line)
    return _answer(tx, who, kits(tx, who.club)[before.kit.id], line, tried=before.fix)


@look(Deed.SEE_FAULTS)
def open_faults(tx: Tx, who: Who) -> OpenFaults:
    """Return the faults that aren't closed."""
    return OpenFaults(tuple(faults.still_open(tx, who.club)))
