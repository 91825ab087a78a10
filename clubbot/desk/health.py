"""How good batteries still are, with what shows it; and what is done about a weak one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta

from clubbot.desk import energy
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.desk.replanning import plan_anew
from clubbot.desk.run_times import needed, run_times
from clubbot.rules.calendar import DAY
from clubbot.rules.energy.belief import Range
from clubbot.rules.energy.health import ALMOST_CERTAIN, health, others
from clubbot.rules.energy.story import KINDS
from clubbot.rules.energy.survival import RunTime, fleet_runs
from clubbot.rules.faults import Symptom
from clubbot.rules.fitting import ALWAYS
from clubbot.rules.ledger import Detail, Entry, EntryKind, Use
from clubbot.rules.model import ItemKind, KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    BatteryClaim,
    BatteryHealth,
    RunTimeLine,
    RunTimes,
    ShortUses,
    UseChanged,
)
from clubbot.store import claims, faults, ledger, losses
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

MONTHS = 12
_SHORTEST = 10
_NOTE = "battery"
_BELOW = ("weak", "short uses")
_ORDER = ("weak", "short uses", "unsure", "good")


@look(Deed.SEE_CHARGE_LIST)
def battery_health(tx: Tx, who: Who, text: str) -> RunTimes | BatteryHealth | Refused:
    """Return what is believed of all batteries, or how one's run time went through the months."""
    fleet = kits(tx, who.club)
    if not text.strip():
        return _all(tx, who, fleet)
    wanted = named(text, fleet, {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return _one(tx, who, fleet, wanted.kits[0])


@look(Deed.SEE_CHARGE_LIST)
def health_of(tx: Tx, who: Who, kit: KitId) -> BatteryHealth | Refused:
    """Return how one battery's run time went through the months, by its button."""
    fleet = kits(tx, who.club)
    return _one(tx, who, fleet, fleet[kit]) if kit in fleet else Refused(Reason.OUT_OF_DATE)


def _kept(fleet: Mapping[KitId, KitNow]) -> list[KitId]:
    gone = (Use.LOST, Use.SCRAPPED)
    return [kit for kit, now in fleet.items() if now.position.use not in gone]


def _all(tx: Tx, who: Who, fleet: Mapping[KitId, KitNow]) -> RunTimes | Refused:
    kept = _kept(fleet)
    if not kept:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    seen = energy.beliefs(tx, who, kept, who.now)
    tests = _tests(tx, who)
    last = {kit: tests[kit][-1][1] for kit in kept if tests.get(kit)}
    found = {
        kit: health(seen[kit].belief, needed(tx, who, fleet[kit]), last.get(kit)) for kit in kept
    }
    lines = [
        RunTimeLine(
            fleet[kit].ref,
            _bounds(each.run),
            each.verdict,
            held=fleet[kit].position.use is Use.HELD,
            doubted=each.verdict in _BELOW and each.below < ALMOST_CERTAIN,
        )
        for kit, each in found.items()
    ]
    lines.sort(key=lambda line: (_ORDER.index(line.verdict), line.run[1]))
    need = max(needed(tx, who, fleet[kit]).week for kit in kept)
    return RunTimes(tuple(lines), need, fleet_runs(last.values()))


def _bounds(run: Range) -> tuple[int, int, int]:
    return round(run.low), round(run.middle), round(run.high)


def _one(tx: Tx, who: Who, fleet: Mapping[KitId, KitNow], now: KitNow) -> BatteryHealth:
    kit, asked = now.kit.id, needed(tx, who, now)
    alike = [each for each in _kept(fleet) if fleet[each].kit.kit_type == now.kit.kit_type]
    seen = energy.beliefs(tx, who, {kit, *alike}, who.now)
    tests = _tests(tx, who).get(kit, [])
    tested = tests[-1][1] if tests else None
    found = health(seen[kit].belief, asked, tested)
    usual = others([seen[each].belief.run_time for each in alike if each != kit])
    said = _said(tx, who, kit)
    months = _months(who, said)
    return BatteryHealth(
        kit=now.ref,
        run=_bounds(found.run),
        months=tuple((day, *_believed(tx, who, kit, at)) for day, at in months),
        tests=tuple((_place([end for _, end in months], at), run) for at, run in tests),
        others=_bounds(usual) if usual else None,
        need=asked.week,
        session=asked.session,
        below=round(100 * found.below),
        verdict=found.verdict,
        ran_flat=sum(each.kind is EntryKind.RAN_FLAT for each in said),
        tested=tested,
        warranty=_warranty(tx, who, kit),
        fault=_fault(tx, who, kit),
        out_of_use=now.position.use is Use.WITHDRAWN,
        short_minutes=now.position.short_minutes,
        held=now.position.held,
    )


def _tests(tx: Tx, who: Who) -> dict[KitId, list[tuple[datetime, RunTime]]]:
    """Return the run-time tests of the months that are shown, with their moments."""
    return run_times(tx, who, who.now - timedelta(days=31 * MONTHS))


def _said(tx: Tx, who: Who, kit: KitId) -> list[Entry]:
    """Return what was said of the battery that is in a kit, in the months that are shown."""
    found = ledger.of_kinds(tx, who.club, KINDS, who.now - timedelta(days=31 * MONTHS))
    here = energy.here_since(tx, who).get(kit, ALWAYS)
    return [each for each in found.get(kit, []) if not each.detail.own and each.happened_at >= here]


def _months(who: Who, said: Sequence[Entry]) -> list[tuple[date, datetime]]:
    """Return the last day of each month since anything was said, and today, each with its end."""
    today = who.now.astimezone(who.zone).date()
    first = said[0].happened_at.astimezone(who.zone).date() if said else today
    days, day = [today], today.replace(day=1) - DAY
    while day >= first and len(days) < MONTHS:
        days.append(day)
        day = day.replace(day=1) - DAY
    ends = [datetime.combine(each + DAY, time.min, who.zone).astimezone(UTC) for each in days]
    return [(each, min(end, who.now)) for each, end in zip(days, ends, strict=True)][::-1]


def _believed(tx: Tx, who: Who, kit: KitId, at: datetime) -> tuple[int, int, int]:
    return _bounds(energy.beliefs(tx, who, [kit], at)[kit].belief.run_time)


def _place(ends: Sequence[datetime], at: datetime) -> int:
    return next((place for place, end in enumerate(ends) if at <= end), len(ends) - 1)


def _warranty(tx: Tx, who: Who, kit: KitId) -> date | None:
    """Return until when the warranty of a kit's battery runs, where it still does."""
    items = losses.items_of(tx, who.club, kit)
    batteries = [each.id for each in items if each.kind == ItemKind.BATTERY]
    dates = claims.purchase_of(tx, who.club, batteries or [each.id for each in items])
    ends = [end for _, end in dates.values() if end is not None]
    today = who.now.astimezone(who.zone).date()
    return max((end for end in ends if end >= today), default=None)


def _fault(tx: Tx, who: Who, kit: KitId) -> int | None:
    open_ = faults.still_open(tx, who.club, kit)
    return next((each.number for each in open_ if each.symptom == Symptom.SHORT_RUN), None)


# -- what is done about a weak one ---------------------------------------------------------------


@deed(Deed.SIGN_CHARGE)
def put_out(tx: Tx, who: Who, kit: KitId) -> UseChanged | Refused:
    """Put a kit with a weak battery out of use, and plan its bookings anew."""
    now = kits(tx, who.club).get(kit)
    if now is None or now.position.withdrawn is not None or now.position.scrapped:
        return Refused(Reason.OUT_OF_DATE)
    who.append(tx, [Draft(EntryKind.WITHDRAWN, kit=kit, detail=Detail(note=_NOTE))])
    swaps, short = plan_anew(tx, who)
    use = kits(tx, who.club)[kit].position.use
    return UseChanged((now.ref,), str(use), _NOTE, swaps, short)


@deed(Deed.SIGN_CHARGE)
def short_only(tx: Tx, who: Who, kit: KitId) -> ShortUses | Refused:
    """Let a kit go only to uses that a full charge of its battery lasts nine times in ten."""
    now = kits(tx, who.club).get(kit)
    if now is None or now.position.short_minutes is not None:
        return Refused(Reason.OUT_OF_DATE)
    return _uses(tx, who, now, EntryKind.SHORT_USES, _lasting(tx, who, kit))


@deed(Deed.SIGN_CHARGE)
def all_uses(tx: Tx, who: Who, kit: KitId) -> ShortUses | Refused:
    """Let a kit go to all uses again."""
    now = kits(tx, who.club).get(kit)
    if now is None or now.position.short_minutes is None:
        return Refused(Reason.OUT_OF_DATE)
    return _uses(tx, who, now, EntryKind.ALL_USES, None)


def _uses(tx: Tx, who: Who, now: KitNow, kind: EntryKind, minutes: int | None) -> ShortUses:
    who.append(tx, [Draft(kind, kit=now.kit.id, detail=Detail(minutes=minutes))])
    swaps, short = plan_anew(tx, who)
    return ShortUses(
        kit=now.ref,
        minutes=minutes,
        moved=tuple((swap.number, swap.before, swap.after) for swap in swaps),
        short=tuple(booking.number for booking in short),
    )


def _lasting(tx: Tx, who: Who, kit: KitId) -> int:
    """Return how long a use a full charge lasts nine times in ten, in steps of five minutes.

    It is no longer than its last run-time test says.
    """
    low = energy.beliefs(tx, who, [kit], who.now)[kit].belief.run_time.low
    tests = _tests(tx, who).get(kit, [])
    if tests and tests[-1][1].ended:
        low = min(low, tests[-1][1].minutes)
    minutes = int(low * 100 / who.settings.driving_percent)
    return max(_SHORTEST, minutes // 5 * 5)


@deed(Deed.CLAIM)
def claim(tx: Tx, who: Who, kit: KitId, evidence: str) -> BatteryClaim | Refused:
    """Note a weak battery as a fault, in the words that show it: so there can be a letter."""
    now = kits(tx, who.club).get(kit)
    if now is None:
        return Refused(Reason.OUT_OF_DATE)
    open_ = faults.still_open(tx, who.club, kit)
    line = next((each for each in open_ if each.symptom == Symptom.SHORT_RUN), None)
    if line is None:
        line = faults.add(
            tx,
            who.club,
            kit=kit,
            symptom=Symptom.SHORT_RUN,
            danger=False,
            said=evidence,
            reported_by=who.person,
            now=who.now,
            deed=who.deed,
        )
    return BatteryClaim(now.ref, line.id, evidence)
