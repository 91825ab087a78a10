"""What somebody adds to their own report soon after it: it works again, or it was another kit."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from clubbot.desk import blaming, danger, fault
from clubbot.desk.acting import Who
from clubbot.rules.faults import FaultReading, Symptom, read_fault
from clubbot.rules.faults.asides import corrected_to, says_it_works
from clubbot.rules.results import DangerReported, FaultLine, FaultReported, WorksAgain
from clubbot.store import evidence, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

WITHIN = timedelta(minutes=30)
"""So long "never mind" is about one's own report."""


def heard(
    tx: Tx, who: Who, text: str, reading: FaultReading
) -> WorksAgain | FaultReported | DangerReported | None:
    """Take a sentence in private for a second thought on one's own last report, if it is one."""
    if not who.asking.private or reading.danger or reading.symptom not in (None, Symptom.UNCLEAR):
        return None
    mine = [
        line
        for line in faults.still_open(tx, who.club)
        if line.reported_at > who.now - WITHIN
        and faults.reporter(tx, who.club, line.id) == who.person
    ]
    named = [line for line in mine if line.kit and line.kit.label in reading.kits]
    last = (named or mine)[-1:]
    if not last:
        return None
    if last[0].danger:
        return _danger_elsewhere(tx, who, text, last[0])
    if (moved := _moved(tx, who, text, last[0])) is not None:
        return moved
    elsewhere = bool(reading.kits) and not named
    if reading.fault or elsewhere or not says_it_works(text):
        return None
    return _works_again(tx, who, text, last[0])


def _danger_elsewhere(tx: Tx, who: Who, text: str, line: FaultLine) -> DangerReported | None:
    """Raise the alarm for the kit that was meant, too: only an adult lets the first one go."""
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    meant = corrected_to(text, list(known), line.kit.label if line.kit else "")
    if meant is None:
        return None
    evidence.note(tx, who.club, line.id, who.now, "again", text)
    fire = read_fault(line.said, list(known)).fire
    return danger.raise_alarm(tx, who, [known[meant]], f"{line.said} / {text}", fire=fire)


def _works_again(tx: Tx, who: Who, text: str, line: FaultLine) -> WorksAgain:
    """Note it with the fault, where the adults read it; they decide whether it is closed."""
    faults.join(tx, who.club, line.id, text)
    evidence.note(tx, who.club, line.id, who.now, "works again", text)
    return WorksAgain(line)


def _moved(tx: Tx, who: Who, text: str, line: FaultLine) -> FaultReported | None:
    """Move a report that nobody has touched to the kit that was meant, with its pictures."""
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    meant = corrected_to(text, list(known), line.kit.label if line.kit else "")
    touched = line.checked or line.at_supplier or evidence.steps(tx, who.club, line.id)
    if meant is None or touched:
        return None
    mistaken = {"state": "closed", "closed_at": who.now, "mistaken": True}
    faults.change(tx, who.club, line.id, **mistaken)
    blaming.follow_battery(tx, who, line)
    reading = fault.read(tx, who, line.said)
    result = fault.note(tx, who, known[meant], reading, f"{line.said} / {text}")
    evidence.move_pictures(tx, who.club, line.id, result.fault.id)
    return replace(result, instead=line)
