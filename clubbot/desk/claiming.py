"""Claims: a ready letter to the supplier about a fault, with what shows it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from clubbot.desk import blaming
from clubbot.desk.acting import Who, look
from clubbot.rules.energy.story import TESTS
from clubbot.rules.faults.triage import Outcome
from clubbot.rules.ledger import EntryKind
from clubbot.rules.model import FaultId, ItemKind, KitId, Reason, Refused, Role
from clubbot.rules.nameless import nameless
from clubbot.rules.permissions import Deed
from clubbot.rules.results import ClaimedItem, ClaimLetter, FaultLine, RunTest
from clubbot.store import claims, evidence, faults, fitting, ledger, losses, people
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_BATTERY = (str(ItemKind.BATTERY), "")
"""Run times are shown where the battery may be to blame."""
_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
_STILLS = 6
"""As many stills as one page holds."""


@look(Deed.CLAIM)
def letter(tx: Tx, who: Who, number: int) -> ClaimLetter | Refused:
    """Return what a letter about a fault says: the items, what is seen, what was checked."""
    line = faults.by_number(tx, who.club, number)
    if line is None or line.closed_at is not None:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number})
    return _asked(tx, who, line)


@look(Deed.CLAIM)
def letter_about(tx: Tx, who: Who, number: FaultId) -> ClaimLetter | Refused:
    """Return the letter about a fault, by its button."""
    line = faults.by_id(tx, who.club, number)
    if line is None or line.closed_at is not None:
        return Refused(Reason.OUT_OF_DATE)
    return _asked(tx, who, line)


def _asked(tx: Tx, who: Who, line: FaultLine) -> ClaimLetter | Refused:
    """Return the letter, unless nothing is broken: then no supplier can do anything about it."""
    if blaming.person_only(tx, who.club, line):
        return Refused(Reason.NOTHING_BROKEN, {"number": line.number})
    return _letter(tx, who, line)


def _letter(tx: Tx, who: Who, line: FaultLine) -> ClaimLetter:
    """Put the letter together: about the thing to blame, or all that is fitted to the kit.

    Where nobody knows what is to blame the supplier finds it.
    """
    fitted = losses.items_of(tx, who.club, line.kit.id) if line.kit else []
    meant = [each for each in fitted if each.kind == line.thing] or fitted
    dates = claims.purchase_of(tx, who.club, [each.id for each in meant])
    seen = evidence.pictures(tx, who.club, line.id)
    fit = [each.kind for each in seen if each.looked]
    runs, others = _run_times(tx, who, line)
    names = [row.name for row in people.people(tx, who.club) if row.role is not Role.DOOR]
    labels = [now.kit.label for now in kits(tx, who.club).values()]
    steps = evidence.steps(tx, who.club, line.id)
    return ClaimLetter(
        fault=replace(line, said=nameless(line.said, names, labels)),
        items=tuple(
            ClaimedItem(each.kind, each.serial, *dates.get(each.id, (None, None)), each.price_cents)
            for each in meant
        ),
        photos=fit.count("photo"),
        videos=fit.count("video"),
        club=who.club_name,
        by=who.name,
        mended=any(each.outcome == Outcome.WORKED for each in line.checked),
        unseen=len(seen) - len(fit),
        has_video=any(each.kind == "video" for each in seen),
        steps=tuple(replace(each, note=nameless(each.note, names, labels)) for each in steps),
        runs=runs,
        others=others,
    )


def _run_times(tx: Tx, who: Who, line: FaultLine) -> tuple[tuple[RunTest, ...], tuple[int, ...]]:
    """Return the run-time tests of this kit's battery, and the last one of each other kit's.

    What was measured before the battery of now was fitted is another battery's.
    """
    if line.kit is None or line.thing not in _BATTERY:
        return (), ()
    batteries = fitting.all_stays(tx, who.club).get(ItemKind.BATTERY, ())
    since = {stay.kit: stay.start for stay in batteries if stay.end is None}
    found: dict[KitId, list[RunTest]] = {}
    entries = ledger.of_kinds(tx, who.club, TESTS, _LONG_AGO)
    for kit, tests in entries.items():
        for each in tests:
            if each.detail.minutes and each.happened_at >= since.get(kit, _LONG_AGO):
                day = each.happened_at.astimezone(who.zone).date()
                ended = each.kind is EntryKind.RUN_TIME_TESTED
                found.setdefault(kit, []).append(RunTest(day, each.detail.minutes, ended))
    mine = found.pop(line.kit.id, [])
    others = sorted(tests[-1].minutes for tests in found.values() if tests[-1].ended)
    return tuple(mine), tuple(others) if mine else ()


@look(Deed.CLAIM)
def stills(tx: Tx, who: Who, number: FaultId) -> list[str]:
    """Return the file ids of a fault's photos and of its videos' stills that may go out."""
    seen = [each for each in evidence.pictures(tx, who.club, number) if each.looked]
    files = [each.file_id if each.kind == "photo" else each.still_id for each in seen]
    return [file for file in files if file][:_STILLS]
