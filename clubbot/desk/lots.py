"""What goes on the chargers and comes off: put on, looked at, swapped, done or not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from clubbot.desk import charge_plan, charging, energy, notices
from clubbot.desk.acting import Who, deed
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    ChargeStep,
    KitRef,
    LotDone,
    LotLook,
    LotNotCharging,
    LotNotDone,
    LotOn,
    LotOver,
    LotShows,
    OnNow,
)
from clubbot.store import charging as store
from clubbot.store import clubs
from clubbot.store.charging import OnCharge, Thing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NewNotice, NoticeRow, add

LOOK_AFTER = timedelta(minutes=5)
"""Whether a charger really charges shows by then."""
_EARLY = timedelta(minutes=15)
"""So long before its time is over a charge counts as over when somebody comes to swap."""
_USEFUL = timedelta(hours=6)
FULL = 99
"""Per cent from which a charge is noted as a full one."""
_CHARGEABLE = (Use.IN_USE, Use.WITHDRAWN)


@deed(Deed.SIGN_CHARGE)
def put_on(tx: Tx, who: Who, things: Sequence[Thing]) -> LotOn | Refused:
    """Note that these were put on the chargers just now, and ask later whether they charge."""
    fleet = kits(tx, who.club)
    if not things or any(kit not in fleet for kit, _ in things):
        return Refused(Reason.OUT_OF_DATE)
    left = tuple(_left(fleet[kit]) for kit, _ in things if _why_not(fleet[kit]))
    lot = _put_on(tx, who, [thing for thing in things if not _why_not(fleet[thing[0]])])
    return LotOn(charge_plan.on_now(fleet, lot), left)


def _why_not(now: KitNow) -> str:
    if now.position.use not in _CHARGEABLE:
        return str(now.position.use)
    return "out" if now.position.out else ""


def _left(now: KitNow) -> tuple[KitRef, str]:
    return now.ref, _why_not(now)


def _put_on(tx: Tx, who: Who, things: Sequence[Thing]) -> list[OnCharge]:
    """Note a lot, each for as long as the plan says, or else until it is full."""
    known = store.on_charge(tx, who.club)
    again = {thing for thing in things if thing in known}
    plan = {(step.kit.id, step.own): step for step in reversed(_steps(tx, who))}
    taken = {each.bay for thing, each in known.items() if thing not in again}
    lot: list[OnCharge] = []
    for thing in things:
        step, level = plan.get(thing), _level(tx, who, thing, who.now)
        curve = energy.curve_of(who, own=thing[1])
        minutes = curve.minutes(level) if step is None else step.window.length.seconds / 60
        bay = 0 if thing[1] else _bay(step, taken)
        taken.add(bay)
        until = who.now + timedelta(minutes=minutes)
        reached = round(100 * curve.level_after(level, minutes))
        lot.append(OnCharge(thing, bay, who.now, until, reached))
    store.put_on(tx, who.club, lot)
    _owe(tx, who, lot)
    return lot


def _level(tx: Tx, who: Who, thing: Thing, at: datetime) -> float:
    """Return the level that a unit or tablet had at a moment, nine times in ten or more."""
    kit, own = thing
    found = (energy.tablets if own else energy.beliefs)(tx, who, [kit], at)
    return found[kit].belief.level.low if kit in found else 0.0


def _bay(step: ChargeStep | None, taken: set[int]) -> int:
    if step is not None and step.bay not in taken:
        return step.bay
    return next(bay for bay in range(1, len(taken) + 2) if bay not in taken)


def _steps(tx: Tx, who: Who) -> tuple[ChargeStep, ...]:
    """Return what the plan says of the week to come, as quickly as it can be had."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    found = charging.planned(tx, who, calendar, today, since=who.now, seconds=0)
    return found.plan.steps if found.plan is not None else ()


def _next(tx: Tx, who: Who) -> tuple[ChargeStep, ...]:
    """Return what the plan puts on next, all at one moment."""
    steps = _steps(tx, who)
    return tuple(step for step in steps if step.window.start == steps[0].window.start)


def _owe(tx: Tx, who: Who, lot: Sequence[OnCharge]) -> None:
    """Owe whoever put a lot on the question whether it charges, and the word that it is over."""
    if not lot or not who.person:
        return
    over = max(each.until for each in lot)
    facts = {"things": [list(each.thing) for each in lot]}
    moments = ((notices.LOT_LOOK, who.now + LOOK_AFTER), (notices.LOT_OVER, over))
    add(
        tx,
        who.club,
        [
            NewNotice(
                kind=kind,
                subject="chargers",
                occurrence=who.deed,
                person=who.person,
                due_at=at,
                send_at=at,
                useful_until=at + _USEFUL,
                facts=facts,
            )
            for kind, at in moments
        ],
    )


@deed(Deed.SIGN_CHARGE)
def showing(tx: Tx, who: Who, things: Sequence[Thing]) -> LotShows | Refused:
    """Note that these show that they charge."""
    mine = _still_on(tx, who, things)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    store.show(tx, who.club, mine)
    return LotShows(charge_plan.on_now(kits(tx, who.club), mine.values()))


@deed(Deed.SIGN_CHARGE)
def not_charging(tx: Tx, who: Who, thing: Thing) -> LotNotCharging | Refused:
    """Note that one doesn't charge though it was put on: it counts as off."""
    mine = _still_on(tx, who, [thing])
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    fleet = kits(tx, who.club)
    store.take_off(tx, who.club, mine)
    (which,) = charge_plan.on_now(fleet, mine.values())
    others = [each for each in store.on_charge(tx, who.club).values() if not each.shows]
    return LotNotCharging(which, charge_plan.on_now(fleet, others))


@deed(Deed.SIGN_CHARGE)
def swapped(tx: Tx, who: Who, then: Sequence[Thing]) -> LotDone | Refused:
    """Note that all whose time is over came off, charged, and these were put on in their place."""
    on = store.on_charge(tx, who.club)
    over = {thing: each for thing, each in on.items() if each.until <= who.now + _EARLY}
    fleet = kits(tx, who.club)
    fit = [each for each in then if each[0] in fleet and not _why_not(fleet[each[0]])]
    if not over and not fit:
        return Refused(Reason.OUT_OF_DATE)
    off = _take_off(tx, who, over, fleet)
    lot = _put_on(tx, who, [thing for thing in fit if thing not in on or thing in over])
    return LotDone(off, charge_plan.on_now(fleet, lot), _next(tx, who))


@deed(Deed.SIGN_CHARGE)
def done(tx: Tx, who: Who, things: Sequence[Thing]) -> LotDone | Refused:
    """Note that these came off and are charged for as long as they were on."""
    mine = _still_on(tx, who, things)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    off = _take_off(tx, who, mine, kits(tx, who.club))
    return LotDone(off, (), _next(tx, who))


@deed(Deed.SIGN_CHARGE)
def not_done(tx: Tx, who: Who, things: Sequence[Thing]) -> LotNotDone | Refused:
    """Note that nothing came of charging these; the plan counts them as they were."""
    mine = _still_on(tx, who, things)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    store.take_off(tx, who.club, mine)
    off = charge_plan.on_now(kits(tx, who.club), mine.values())
    return LotNotDone(off, _next(tx, who))


def _still_on(tx: Tx, who: Who, things: Iterable[Thing]) -> dict[Thing, OnCharge]:
    on = store.on_charge(tx, who.club)
    return {thing: on[thing] for thing in things if thing in on}


def _take_off(
    tx: Tx, who: Who, off: Mapping[Thing, OnCharge], fleet: Mapping[KitId, KitNow]
) -> tuple[OnNow, ...]:
    """Note the charges of what came off: for less or more time than planned, to less or more."""
    reached = {thing: _reached(tx, who, each) for thing, each in off.items()}
    who.append(tx, [_charge(each, reached[thing], who.now) for thing, each in off.items()])
    store.take_off(tx, who.club, off)
    return charge_plan.on_now(
        fleet, [replace(each, percent=reached[thing]) for thing, each in off.items()]
    )


def _reached(tx: Tx, who: Who, on: OnCharge) -> int:
    """Return the per cent that a charge reached nine times in ten."""
    minutes = (who.now - on.put_on_at) / timedelta(minutes=1)
    level = _level(tx, who, on.thing, on.put_on_at)
    return round(100 * energy.curve_of(who, own=on.thing[1]).level_after(level, minutes))


def _charge(on: OnCharge, percent: int, now: datetime) -> Draft:
    """Return the entry of a charge; of one that may not be full, how long it took as well."""
    kit, own = on.thing
    detail = Detail(own=own)
    if percent < FULL:
        minutes = max(1, round((now - on.put_on_at) / timedelta(minutes=1)))
        detail = Detail(percent=percent, minutes=minutes, own=own)
    return Draft(EntryKind.CHARGED, kit=kit, detail=detail)


# -- what whoever put them on is asked -------------------------------------------------------------


def look(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Ask whether all of a lot show that they charge, if nobody has said so yet."""
    mine = [each for each in _of(tx, who, row) if not each.shows]
    return LotLook(charge_plan.on_now(kits(tx, who.club), mine)) if mine else None


def over(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Say that a lot's time is over, and what comes next, if it is still on."""
    mine = _of(tx, who, row)
    if not mine:
        return None
    return LotOver(charge_plan.on_now(kits(tx, who.club), mine), _next(tx, who))


def _of(tx: Tx, who: Who, row: NoticeRow) -> list[OnCharge]:
    things = [(KitId(kit), bool(own)) for kit, own in row.facts["things"]]
    on = _still_on(tx, who, things)
    return [each for each in on.values() if each.put_on_at <= row.due_at]
