"""What a fault hangs on: the thing to blame, where one is; otherwise the kit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.rules.faults.blame import TELLS_OF_BATTERY, blamed
from clubbot.rules.faults.harm import Hazard, read_hazard
from clubbot.rules.faults.knowledge import known
from clubbot.rules.faults.triage import Outcome, believe
from clubbot.rules.model import ClubId, ItemId, ItemKind, KitId
from clubbot.rules.results import FaultLine
from clubbot.store import causes, evidence, faults, fitting
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import append

BY_HAND = "blamed"
"""The step by which somebody said what is to blame: checks don't change that any more."""
LISTED = (ItemKind.UNIT, ItemKind.BATTERY, ItemKind.TABLET)
"""What every kit has one of, whether or not anybody has listed it."""


def suspected(tx: Tx, club: ClubId, line: FaultLine) -> dict[str, float]:
    """Return how likely each cause is behind a fault, after what was checked."""
    done = [(each.code, Outcome(each.outcome)) for each in line.checked]
    return believe(known(), line.symptom, causes.causes_seen(tx, club, line.symptom), done)


def hang(tx: Tx, club: ClubId, line: FaultLine, now: datetime, cause: str = "") -> FaultLine:
    """Hang a fault on what the checks, or the cause that was found, make of it.

    A danger hangs on its kit where the words aren't about a battery.
    """
    if line.kit is None or (line.danger and not _hazard(tx, club, line).battery):
        return line
    if any(each.what == BY_HAND for each in evidence.steps(tx, club, line.id)):
        return line
    return hang_on(tx, club, line, blamed(known(), suspected(tx, club, line), cause), now)


def person_only(tx: Tx, club: ClubId, line: FaultLine) -> bool:
    """Say whether a danger is somebody's alone, and nobody has said what of the kit is to blame."""
    return line.danger and not line.thing and not _hazard(tx, club, line).thing


def _hazard(tx: Tx, club: ClubId, line: FaultLine) -> Hazard:
    return read_hazard(line.said, [now.kit.label for now in kits(tx, club).values()])


def hang_on(tx: Tx, club: ClubId, line: FaultLine, kind: str, now: datetime) -> FaultLine:
    """Hang a fault on the kit's thing of this kind; on the kit where it is none."""
    kit = faults.reported_in(tx, club, line.id)
    if kit is None or kind == line.thing:
        return line
    found = _thing(tx, club, kit, ItemKind(kind), now) if kind else None
    faults.change(tx, club, line.id, item_id=found[0] if found else None)
    return replace(line, thing=kind if found else "", serial=found[1] if found else "")


def follow_battery(tx: Tx, who: Who, line: FaultLine) -> None:
    """Keep what is believed now of the battery that a fault tells of, where it tells of one."""
    kit = faults.reported_in(tx, who.club, line.id)
    if kit is not None and line.symptom in TELLS_OF_BATTERY:
        energy.remember(tx, who, [kit])


def _thing(
    tx: Tx, club: ClubId, kit: KitId, kind: ItemKind, now: datetime
) -> tuple[ItemId, str] | None:
    """Return the kit's thing of a kind; one that nobody has listed is listed as it was there.

    So it takes its faults along when another is fitted in its place.
    """
    mine = [each for each in fitting.things(tx, club, kind) if each.kit == kit]
    if mine:
        return mine[0].id, mine[0].serial
    if kind not in LISTED:
        return None
    made = fitting.add(tx, club, kind)
    listed = [fitting.listed_in(kit, made)]
    append(tx, club, listed, happened_at=now, said_at=now, said_by=None, deed="")
    return made, ""
