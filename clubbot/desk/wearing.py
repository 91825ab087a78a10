"""Which kits wear out: their faults for their use, compared with the others as a term ends."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import groupby
from typing import Protocol

from clubbot.desk import notices
from clubbot.desk.acting import Who, look
from clubbot.desk.finding import named
from clubbot.rules import wear
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.storage import break_from, storage_due
from clubbot.rules.faults import Symptom
from clubbot.rules.ledger import Entry, EntryKind, Use
from clubbot.rules.model import KitId, KitTypeId, PersonId, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.reminding import Due
from clubbot.rules.results import WarrantyEnding, WearLine, WearReport
from clubbot.store import clubs, ledger, stock
from clubbot.store import wear as store
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits, label_order
from clubbot.store.notices import NewNotice, NoticeRow
from clubbot.store.wear import Reported, Warranty

SPAN = timedelta(days=365)
TERM = 120
"""Days: a third of a year, where no long break of the calendar says when a term ends."""
SOON = 60
"""Days before a warranty's end from which on an open fault is pointed out."""
_SESSION = timedelta(hours=3)
_NO_WEAR = frozenset({Symptom.MISSING_PART, Symptom.OLD_PROGRAM, Symptom.UPDATE_TROUBLE})
"""What happens to a kit without anything in it being worse than before."""
_FIXES = 3


class Swept(Protocol):
    """What the sweep knows of a club."""

    @property
    def row(self) -> ClubRow: ...
    @property
    def now(self) -> datetime: ...
    @property
    def calendar(self) -> ClubCalendar: ...
    @property
    def leaders(self) -> list[PersonId]: ...
    def fresh(self, due: Due | None) -> bool: ...
    def notice(self, kind: str, subject: str, due: Due, person: PersonId) -> NewNotice: ...


@look(Deed.SEE_WEAR)
def report(tx: Tx, who: Who, text: str = "") -> WearReport | Refused:
    """Return each kit's faults for its use, and which are worse by the numbers.

    Of the kits that the text names, where it names some.
    """
    found = _report(tx, who)
    wanted = named(text, kits(tx, who.club), {})
    if isinstance(wanted, Refused):
        return wanted
    if not wanted.kits:
        return found
    asked = {now.kit.id for now in wanted.kits}
    lines = tuple(line for line in found.lines if line.kit.id in asked)
    ending = tuple(each for each in found.ending if each.kit.id in asked)
    return replace(found, lines=lines, ending=ending, asked=True)


def due(club: Swept) -> Iterator[NewNotice]:
    """Yield what the leaders are owed at a term's end, with what is said of the batteries."""
    moment = storage_due(club.calendar, club.calendar.day_of(club.now))
    if moment is not None and club.fresh(moment):
        for person in club.leaders:
            yield club.notice(notices.WEAR, "term", moment, person)


def owed(tx: Tx, who: Who, row: NoticeRow) -> WearReport | None:
    """Return the kits that something is to be done about; nothing where there are none."""
    found = _report(tx, who)
    calls = tuple(line for line in found.lines if line.advice != wear.Advice.KEEP)
    return replace(found, lines=calls) if calls or found.ending else None


def _report(tx: Tx, who: Who) -> WearReport:
    fleet = _kept(kits(tx, who.club))
    calendar = clubs.calendar(tx, who.club, who.zone)
    since, today = who.now - SPAN, calendar.day_of(who.now)
    faults = [each for each in store.reported(tx, who.club, since) if each.kit in fleet]
    ended, began = _terms(tx, who, calendar, today)
    moved = ledger.of_kinds(tx, who.club, (EntryKind.GIVEN_OUT, EntryKind.TAKEN_BACK), since)
    noted = [each for each in store.warranties(tx, who.club) if each.until >= today]
    covered = {each.kit for each in noted if each.kit in fleet}
    done = {
        kit: [fix for symptom, fix in fixes if symptom not in _NO_WEAR]
        for kit, fixes in store.mended(tx, who.club, since).items()
    }
    lines: list[WearLine] = []
    for alike in _by_type(fleet):
        now = _looked_at(alike, moved, faults, who, who.now, began, covered, done)
        then = now
        if ended is not None:
            end = calendar.instant(ended + DAY, time.min)
            then = _looked_at(alike, moved, faults, who, end, began, covered, done)
        for latest, compared in zip(now, then, strict=True):
            said = compared.said if ended is not None else wear.Comparison.TOO_LITTLE
            advice = compared.advice if ended is not None else wear.Advice.KEEP
            if latest.again and advice is wear.Advice.KEEP:
                advice = wear.Advice.LOOK
            reported = sum(each.kit == latest.kit for each in faults)
            shown = _line(fleet[latest.kit], replace(latest, said=said, advice=advice), done)
            lines.append(replace(shown, uncounted=reported - latest.faults))
    lines.sort(key=_worst_first)
    ending = _ending(noted, fleet, faults, today)
    return WearReport(tuple(lines), ending, calendar.day_of(since), ended)


def _worst_first(line: WearLine) -> tuple[int, tuple[object, ...]]:
    kept = line.advice == wear.Advice.KEEP
    return (1 if kept else -line.high, label_order(line.kit.label))


def _kept(fleet: Mapping[KitId, KitNow]) -> dict[KitId, KitNow]:
    gone = (Use.LOST, Use.SCRAPPED)
    return {kit: now for kit, now in fleet.items() if now.position.use not in gone}


def _by_type(fleet: Mapping[KitId, KitNow]) -> list[list[KitId]]:
    def kind(kit: KitId) -> KitTypeId:
        return fleet[kit].kit.kit_type

    return [list(same) for _, same in groupby(sorted(fleet, key=kind), key=kind)]


def _terms(tx: Tx, who: Who, calendar: ClubCalendar, today: date) -> tuple[date | None, datetime]:
    """Return the day on which the last term ended, and when the present one began."""
    ends = [
        found
        for back in range(TERM * 2)
        if (found := break_from(calendar, today - back * DAY)) is not None
        if found.last.window.end <= who.now
    ]
    if ends:
        last = ends[0]
        began = last.first.window.start if last.first is not None else last.last.window.end
        if began > who.now:
            began = ends[1].last.window.end if len(ends) > 1 else who.now - TERM * DAY
        return last.last.day, began
    first = stock.begun(tx, who.club)
    if first is None or who.now - first < TERM * DAY:
        return None, who.now - TERM * DAY
    ended = first + (who.now - first) // (TERM * DAY) * (TERM * DAY)
    return calendar.day_of(ended) - DAY, ended


def _looked_at(
    alike: Sequence[KitId],
    moved: Mapping[KitId, Sequence[Entry]],
    faults: Sequence[Reported],
    who: Who,
    until: datetime,
    began: datetime,
    covered: set[KitId],
    done: Mapping[KitId, Sequence[str]],
) -> tuple[wear.Wear, ...]:
    share = who.settings.driving_percent / 100
    uses = []
    for kit in alike:
        spans = _spans(moved.get(kit, ()), until)
        failing = tuple(
            wear.Failing(each.symptom, each.at, _hours(spans, share, each.at))
            for each in faults
            if each.kit == kit and each.at <= until and each.symptom not in _NO_WEAR
        )
        hours = _hours(spans, share, until)
        uses.append(wear.Use(kit, len(spans), hours, tuple(each for each in failing if each.hours)))
    repairs = {kit: len(fixes) for kit, fixes in done.items()}
    return wear.look(uses, began, under_warranty=dict.fromkeys(covered, True), repairs=repairs)


def _spans(entries: Sequence[Entry], until: datetime) -> list[tuple[datetime, datetime]]:
    """Return when a kit was out, each time no longer than it is driven at one session."""
    spans: list[tuple[datetime, datetime]] = []
    out: datetime | None = None
    for entry in entries:
        if entry.happened_at >= until:
            break
        if out is not None:
            spans.append((out, min(entry.happened_at, out + _SESSION)))
        out = entry.happened_at if entry.kind is EntryKind.GIVEN_OUT else None
    if out is not None:
        spans.append((out, min(until, out + _SESSION)))
    return spans


def _hours(spans: Sequence[tuple[datetime, datetime]], share: float, until: datetime) -> float:
    lengths = (min(end, until) - start for start, end in spans if start < until)
    return share * sum(length.total_seconds() for length in lengths) / 3600


def _line(now: KitNow, found: wear.Wear, done: Mapping[KitId, Sequence[str]]) -> WearLine:
    return WearLine(
        kit=now.ref,
        sessions=found.sessions,
        hours=round(found.hours),
        faults=found.faults,
        low=round(found.low),
        high=round(found.high),
        times=found.times,
        said=str(found.said),
        again=found.again,
        advice=str(found.advice),
        done=tuple(done.get(found.kit, ()))[-_FIXES:],
    )


def _ending(
    noted: Sequence[Warranty],
    fleet: Mapping[KitId, KitNow],
    faults: Sequence[Reported],
    today: date,
) -> tuple[WarrantyEnding, ...]:
    open_ones = {each.kit: each.number for each in faults if not each.closed}
    return tuple(
        WarrantyEnding(fleet[each.kit].ref, each.kind, each.until, open_ones[each.kit])
        for each in noted
        if each.kit in open_ones and each.until <= today + SOON * DAY
    )
