"""What goes on the chargers and comes off: put on, looked at, swapped, done or not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from clubbot.desk import charge_plan, charging, energy, putting_on
from clubbot.desk.acting import Who, deed
from clubbot.desk.chargers import on_chargers
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    ChargeStep,
    LotDone,
    LotLook,
    LotNotCharging,
    LotNotDone,
    LotOn,
    LotOver,
    LotShows,
    OnNow,
)
from clubbot.store import bookings, clubs
from clubbot.store import charging as store
from clubbot.store.charging import OnCharge, Thing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NoticeRow

_EARLY = timedelta(minutes=15)
"""So long before its time is over a charge counts as over when somebody comes to swap."""
_LATE = timedelta(hours=1)
"""Who says so long after its time that a charge is done can't say how long it really took."""
FULL = 99
"""Per cent from which a charge is noted as a full one."""


@deed(Deed.SIGN_CHARGE)
def put_on(tx: Tx, who: Who, things: Sequence[Thing], shown: date | None = None) -> LotOn | Refused:
    """Note that these were put on the chargers just now, and ask later whether they charge.

    `shown` is the day of the plan; once it is over its buttons say nothing of what is on now.
    """
    fleet = kits(tx, who.club)
    if not things or any(kit not in fleet for kit, _ in things) or _gone_by(who, shown):
        return Refused(Reason.OUT_OF_DATE)
    return putting_on.put_on(tx, who, things, _steps(tx, who))


def _gone_by(who: Who, shown: date | None) -> bool:
    return shown is not None and shown < who.now.astimezone(who.zone).date()


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


@deed(Deed.SIGN_CHARGE)
def showing(
    tx: Tx, who: Who, things: Sequence[Thing], shown: date | None = None
) -> LotShows | Refused:
    """Note that these, which were on by that day, show that they charge."""
    mine = _still_on(tx, who, things, shown)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    store.show(tx, who.club, mine)
    return LotShows(charge_plan.on_now(kits(tx, who.club), mine.values()))


@deed(Deed.SIGN_CHARGE)
def not_charging(
    tx: Tx, who: Who, things: Sequence[Thing], shown: date | None = None
) -> LotNotCharging | Refused:
    """Note that one doesn't charge though it was put on: it counts as off."""
    mine = _still_on(tx, who, things[:1], shown)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    fleet = kits(tx, who.club)
    store.take_off(tx, who.club, mine)
    (which,) = charge_plan.on_now(fleet, mine.values())
    others = [each for each in on_chargers(tx, who.club).values() if not each.shows]
    return LotNotCharging(which, charge_plan.on_now(fleet, others))


@deed(Deed.SIGN_CHARGE)
def swapped(
    tx: Tx, who: Who, then: Sequence[Thing], shown: date | None = None
) -> LotDone | Refused:
    """Note that all whose time is over came off, charged, and these were put on in their place."""
    on = on_chargers(tx, who.club)
    over = {thing: each for thing, each in on.items() if each.until <= who.now + _EARLY}
    fleet = kits(tx, who.club)
    new = [each for each in then if each[0] in fleet and (each not in on or each in over)]
    if _gone_by(who, shown) or not (over or new):
        return Refused(Reason.OUT_OF_DATE)
    off = _take_off(tx, who, over, fleet)
    lot = putting_on.put_on(tx, who, new, _steps(tx, who))
    return LotDone(off, lot, _next(tx, who))


@deed(Deed.SIGN_CHARGE)
def done(tx: Tx, who: Who, things: Sequence[Thing], shown: date | None = None) -> LotDone | Refused:
    """Note that these came off and are charged for as long as they were on."""
    mine = _still_on(tx, who, things, shown)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    off = _take_off(tx, who, mine, kits(tx, who.club))
    return LotDone(off, None, _next(tx, who))


@deed(Deed.SIGN_CHARGE)
def not_done(
    tx: Tx, who: Who, things: Sequence[Thing], shown: date | None = None
) -> LotNotDone | Refused:
    """Note that nothing came of charging these; the plan counts them as they were."""
    mine = _still_on(tx, who, things, shown)
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    store.take_off(tx, who.club, mine)
    off = charge_plan.on_now(kits(tx, who.club), mine.values())
    return LotNotDone(off, _next(tx, who))


def _still_on(
    tx: Tx, who: Who, things: Iterable[Thing], shown: date | None = None
) -> dict[Thing, OnCharge]:
    """Return those that are on still, since that day at the latest: older buttons mean others."""
    on = on_chargers(tx, who.club)
    return {
        thing: on[thing]
        for thing in things
        if thing in on
        and (shown is None or on[thing].put_on_at.astimezone(who.zone).date() <= shown)
    }


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


def _taken_off_at(on: OnCharge, now: datetime) -> datetime:
    """Return when it came off: when somebody says so, unless that is long after its time."""
    return now if now < on.until + _LATE else on.until


def _reached(tx: Tx, who: Who, on: OnCharge) -> int:
    """Return the per cent that a charge reached nine times in ten."""
    minutes = (_taken_off_at(on, who.now) - on.put_on_at) / timedelta(minutes=1)
    level = putting_on.level_of(tx, who, on.thing, on.put_on_at)
    return round(100 * energy.curve_of(who, own=on.thing[1]).level_after(level, minutes))


def _charge(on: OnCharge, percent: int, now: datetime) -> Draft:
    """Return the entry of a charge; of one that may not be full, how long it took as well."""
    kit, own = on.thing
    detail = Detail(own=own)
    if percent < FULL:
        length = _taken_off_at(on, now) - on.put_on_at
        minutes = max(1, round(length / timedelta(minutes=1)))
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
    kits_on = {each.thing[0] for each in mine}
    begun = Window(row.due_at, row.due_at + timedelta(minutes=1))
    used = {kit for each in bookings.between(tx, who.club, begun) for kit in each.chosen}
    on = charge_plan.on_now(kits(tx, who.club), mine)
    then = tuple(step for step in _next(tx, who) if step.kit.id not in used)
    return LotOver(on, then, booked=kits_on <= used)


def _of(tx: Tx, who: Who, row: NoticeRow) -> list[OnCharge]:
    things = [(KitId(kit), bool(own)) for kit, own in row.facts["things"]]
    on = _still_on(tx, who, things)
    return [each for each in on.values() if each.put_on_at <= row.due_at]
