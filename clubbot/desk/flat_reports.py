"""What reports of faults tell of batteries: one ran flat, as surely as it is to blame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from clubbot.desk.acting import Who
from clubbot.rules.entries import Detail, Entry, EntryKind
from clubbot.rules.faults.blame import TELLS_OF_BATTERY, driven_empty, ran_for
from clubbot.rules.faults.knowledge import known
from clubbot.rules.faults.symptoms import Symptom
from clubbot.rules.faults.triage import Outcome, believe
from clubbot.rules.model import KitId, Seq
from clubbot.store import causes, faults
from clubbot.store.engine import Tx

LEAST = 0.02
"""A chance below this says nothing."""
SAME = timedelta(hours=3)
"""Said of the battery itself within this time, the report tells nothing more."""


def added(
    tx: Tx, who: Who, told: Mapping[KitId, Sequence[Entry]], since: datetime
) -> dict[KitId, list[Entry]]:
    """Return what was said of batteries, and what reports of faults say of them, in order.

    A report counts by the chance that its battery was driven empty, as the checks, the cause that
    was found, and the club's other faults make it: a loose battery, or one that was left on, says
    nothing of how long a full charge lasts.
    """
    found = {kit: list(entries) for kit, entries in told.items()}
    learned: dict[str, Mapping[str, int]] = {}
    for kit, cause, line in faults.stopped_since(tx, who.club, TELLS_OF_BATTERY, since):
        if line.symptom not in learned:
            learned[line.symptom] = causes.causes_seen(tx, who.club, line.symptom)
        done = [(each.code, Outcome(each.outcome)) for each in line.checked]
        belief = believe(known(), line.symptom, learned[line.symptom], done)
        sure = driven_empty(known(), line.symptom, belief, cause)
        mine = found.setdefault(kit, [])
        if sure >= LEAST and not any(_same(each, line.reported_at) for each in mine):
            empty = line.symptom == Symptom.SHORT_RUN
            detail = Detail(percent=round(100 * sure), rough=empty, minutes=ran_for(line.said))
            at = line.reported_at
            mine.append(Entry(Seq(0), EntryKind.RAN_FLAT, at, at, None, kit=kit, detail=detail))
            mine.sort(key=lambda each: each.happened_at)
    return found


def _same(entry: Entry, at: datetime) -> bool:
    return entry.kind is EntryKind.RAN_FLAT and abs(entry.happened_at - at) <= SAME
