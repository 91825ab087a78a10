"""A run-time test day: all full, the same program, wheels up; each label is tapped as it stops."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from clubbot.desk import energy, notices
from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import named
from clubbot.desk.run_times import needed, run_times
from clubbot.rules.calendar import DAY
from clubbot.rules.energy.health import Need, tested
from clubbot.rules.energy.survival import fleet_runs
from clubbot.rules.ledger import Detail, Entry, EntryKind, Use
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.reminding import sending_time
from clubbot.rules.results import (
    KitRef,
    TestDayLeft,
    TestDayOver,
    TestDayReady,
    TestDayRuns,
    TestLine,
)
from clubbot.rules.stopped import read_stop
from clubbot.store import charging, clubs, ledger
from clubbot.store.charging import RunTestRow
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NewNotice, NoticeRow, add

_LONGEST = timedelta(hours=12)
"""A test that nobody ended is over after this."""
_ASKED = (timedelta(hours=4), _LONGEST)
"""When whoever started a test is asked what still runs, and told that it is over."""
_REGRETTED = timedelta(hours=1)
"""So long after its end somebody may still say that a test goes on."""
_LOOKED_BACK = timedelta(days=800)

Shown = TestDayReady | TestDayRuns | TestDayOver


@deed(Deed.TEST_DAY)
def test_day(tx: Tx, who: Who, text: str) -> Shown | Refused:
    """Show the test that runs, note a stop that was typed, or say what a test would take in.

    A stop is typed with its time or its minutes: "D 15:52", "D 95 min".
    """
    fleet = kits(tx, who.club)
    running = _running(tx, who)
    if running is not None and text.strip():
        return _typed(tx, who, text, running, fleet)
    if running is not None:
        return _shown(tx, who, running, fleet)
    wanted = named(text, fleet, {}, but=True)
    if isinstance(wanted, Refused):
        return wanted
    chosen = wanted.kits or wanted.among(fleet.values())
    last = charging.last_test(tx, who.club)
    return TestDayReady(
        kits=tuple(now.ref for now in chosen if not _why_not(now)),
        left=tuple(
            (now.ref, why)
            for now in chosen
            if (why := _why_not(now)) and now.position.use not in (Use.SCRAPPED, Use.LOST)
        ),
        last=last.started_at if last else None,
    )


def _why_not(now: KitNow) -> str:
    if now.position.use in (Use.IN_USE, Use.WITHDRAWN):
        return "out" if now.position.out else ""
    return str(now.position.use)


def _running(tx: Tx, who: Who) -> RunTestRow | None:
    found = charging.running_test(tx, who.club)
    return found if found is not None and found.started_at > who.now - _LONGEST else None


@deed(Deed.TEST_DAY)
def start(tx: Tx, who: Who, chosen: Sequence[KitId]) -> Shown | Refused:
    """Begin a test of these kits, or of all that can be tested, now; one that runs goes on."""
    fleet = kits(tx, who.club)
    running = _running(tx, who)
    if running is None:
        tested = [
            kit for kit, now in fleet.items() if kit in (chosen or fleet) and not _why_not(now)
        ]
        if not tested:
            return Refused(Reason.UNKNOWN_KIT, {"word": ""})
        if forgotten := charging.running_test(tx, who.club):
            charging.end_test(tx, who.club, forgotten.id, who.now)
        charging.start_test(tx, who.club, tested, who.now)
        running = _running(tx, who)
        assert running is not None  # noqa: S101 - it was begun just now
        _owe(tx, who)
    return _shown(tx, who, running, fleet)


def _owe(tx: Tx, who: Who) -> None:
    calendar = clubs.calendar(tx, who.club, who.zone)
    for at in (who.now + after for after in _ASKED):
        send = sending_time(at, who.role, calendar, who.settings)
        occurrence, until = at.isoformat(), send + DAY
        new = NewNotice(notices.TEST_LEFT, "run-time test", occurrence, who.person, at, send, until)
        add(tx, who.club, [new])


def left_running(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Ask what still runs in a test that nobody ended, or say once that it is over."""
    test = charging.running_test(tx, who.club)
    if test is None or test.started_at + _ASKED[0] > row.due_at:
        return None
    over = _running(tx, who) is None
    if over and row.due_at < test.started_at + _ASKED[1]:
        return None
    fleet, stops = kits(tx, who.club), _stops(tx, who, test)
    still = tuple(fleet[kit].ref for kit in _still(test, stops, fleet))
    runs = TestDayRuns(test.started_at, _in_order(stops, fleet), still)
    return TestDayLeft(runs, over=over) if still else None


@deed(Deed.TEST_DAY)
def stopped(tx: Tx, who: Who, kit: KitId) -> Shown | Refused:
    """Note that a kit stopped just now; one that stopped before stays as it was said first."""
    running = _running(tx, who)
    fleet = kits(tx, who.club)
    if running is None or kit not in running.kits or kit not in fleet:
        return Refused(Reason.OUT_OF_DATE)
    if kit not in _stops(tx, who, running):
        _note(tx, who, running, kit, who.now)
    return _shown(tx, who, running, fleet)


def _typed(
    tx: Tx, who: Who, text: str, running: RunTestRow, fleet: Mapping[KitId, KitNow]
) -> Shown | Refused:
    said = read_stop(text, running.started_at, who.now, who.zone)
    if said is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "stop"})
    wanted = named(said.rest, fleet, {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    if wanted.kits[0].kit.id not in running.kits:
        labels = (wanted.kits[0].kit.label,)
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "kit of the test", "labels": labels})
    kit = wanted.kits[0].kit.id
    if earlier := _stops(tx, who, running).get(kit):
        who.append(tx, [Draft(EntryKind.CORRECTED, kit=kit, cancels=earlier.seq)])
    _note(tx, who, running, kit, said.at)
    return _shown(tx, who, running, fleet)


def _note(tx: Tx, who: Who, running: RunTestRow, kit: KitId, at: datetime) -> None:
    detail = Detail(minutes=_since(running, at))
    draft = Draft(EntryKind.RUN_TIME_TESTED, kit=kit, detail=detail)
    who.append(tx, [draft], happened_at=at)
    energy.remember(tx, who, [kit])


@deed(Deed.TEST_DAY)
def take_back(tx: Tx, who: Who) -> Shown | Refused:
    """Cancel the stop that was said last in the test that runs."""
    running = _running(tx, who)
    stops = _stops(tx, who, running) if running is not None else {}
    if running is None or not stops:
        return Refused(Reason.NOTHING_TO_UNDO)
    last = max(stops.values(), key=lambda entry: entry.seq)
    who.append(tx, [Draft(EntryKind.CORRECTED, kit=last.kit, cancels=last.seq)])
    energy.remember(tx, who, [last.kit] if last.kit else [])
    return _shown(tx, who, running, kits(tx, who.club))


@deed(Deed.TEST_DAY)
def end(tx: Tx, who: Who) -> Shown | Refused:
    """End the test that runs; of what still runs it is noted for how long it has."""
    running = _running(tx, who)
    if running is None:
        return Refused(Reason.OUT_OF_DATE)
    fleet = kits(tx, who.club)
    still = _still(running, _stops(tx, who, running), fleet)
    detail = Detail(minutes=_since(running, who.now))
    who.append(tx, [Draft(EntryKind.STILL_RUNNING, kit=kit, detail=detail) for kit in still])
    energy.remember(tx, who, still)
    return _over(tx, who, running, fleet)


@deed(Deed.TEST_DAY)
def go_on(tx: Tx, who: Who) -> Shown | Refused:
    """Go on with the test that was ended last, as if it hadn't been.

    Where it was over because the last one stopped, that one runs again.
    """
    ended = charging.last_test(tx, who.club)
    if ended is None or ended.ended_at is None or ended.ended_at < who.now - _REGRETTED:
        return Refused(Reason.OUT_OF_DATE)
    wrong = _noted_at_end(tx, who, ended, ended.ended_at)
    who.append(tx, [Draft(EntryKind.CORRECTED, kit=e.kit, cancels=e.seq) for e in wrong])
    charging.end_test(tx, who.club, ended.id, None)
    energy.remember(tx, who, [each.kit for each in wrong if each.kit])
    running = _running(tx, who)
    if running is None:
        return Refused(Reason.OUT_OF_DATE)
    return _shown(tx, who, running, kits(tx, who.club))


def _noted_at_end(tx: Tx, who: Who, test: RunTestRow, at: datetime) -> list[Entry]:
    """Return what a test's end wrote: which still ran, or else the stop that ended it."""
    stops = _stops(tx, who, test)
    if all(kit in stops for kit in test.kits):
        return [max(stops.values(), key=lambda entry: entry.seq)]
    found = ledger.of_kinds(tx, who.club, [EntryKind.STILL_RUNNING], test.started_at)
    return [
        each
        for kit, entries in found.items()
        for each in entries
        if kit in test.kits and each.detail.minutes and each.happened_at >= at
    ]


def _since(test: RunTestRow, at: datetime) -> int:
    return max(1, round((at - test.started_at) / timedelta(minutes=1)))


def _still(
    test: RunTestRow, stops: Mapping[KitId, Entry], fleet: Mapping[KitId, KitNow]
) -> list[KitId]:
    """Return what still runs; one that is on hold by now, or out, was taken from the table."""
    return [
        kit for kit in test.kits if kit in fleet and kit not in stops and not _why_not(fleet[kit])
    ]


def _stops(tx: Tx, who: Who, running: RunTestRow) -> dict[KitId, Entry]:
    """Return the stops of a test that stand, by kit, in order of happening."""
    found = ledger.of_kinds(tx, who.club, [EntryKind.RUN_TIME_TESTED], running.started_at)
    return {kit: entries[0] for kit, entries in found.items() if kit in running.kits}


def _shown(tx: Tx, who: Who, running: RunTestRow, fleet: Mapping[KitId, KitNow]) -> Shown:
    """Return how a test stands; when the last has stopped it is over."""
    stops = _stops(tx, who, running)
    still = [fleet[kit].ref for kit in _still(running, stops, fleet)]
    if not still:
        return _over(tx, who, running, fleet)
    return TestDayRuns(running.started_at, _in_order(stops, fleet), tuple(still))


def _in_order(
    stops: Mapping[KitId, Entry], fleet: Mapping[KitId, KitNow]
) -> tuple[tuple[KitRef, int], ...]:
    found = sorted(stops.items(), key=lambda each: each[1].happened_at)
    return tuple((fleet[kit].ref, entry.detail.minutes or 0) for kit, entry in found)


def _over(tx: Tx, who: Who, running: RunTestRow, fleet: Mapping[KitId, KitNow]) -> TestDayOver:
    """End a test, and return what came of it."""
    charging.end_test(tx, who.club, running.id, who.now)
    lines: list[TestLine] = []
    asked: list[Need] = []
    for kit, told in run_times(tx, who, running.started_at - _LOOKED_BACK).items():
        now = [run for at, run in told if at > running.started_at]
        if kit in running.kits and kit in fleet and now:
            before = [run for at, run in told if at <= running.started_at]
            asked.append(needed(tx, who, fleet[kit]))
            verdict = tested(now[-1], asked[-1])
            lines.append(TestLine(fleet[kit].ref, now[-1], before[-1] if before else None, verdict))
    lines.sort(key=lambda line: (-line.run.minutes, line.run.ended))
    return TestDayOver(
        started_at=running.started_at,
        lines=tuple(lines),
        need=max((each.week for each in asked), default=0),
        session=max((each.session for each in asked), default=0),
        fleet=fleet_runs(line.run for line in lines),
    )
