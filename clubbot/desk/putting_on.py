"""Putting on the chargers: for how long, on which bay, and what had better not go on now."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubbot.desk import charge_plan, energy, notices
from clubbot.desk.acting import Who
from clubbot.desk.chargers import clear, left_empty, on_chargers, why_not
from clubbot.rules.calendar import DAY
from clubbot.rules.energy.hours import attended
from clubbot.rules.model import KitId, Window
from clubbot.rules.results import ChargeStep, KitRef, LotOn, NotPutOn
from clubbot.store import charging as store
from clubbot.store import clubs
from clubbot.store.charging import OnCharge, Thing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.notices import NewNotice, add

LOOK_AFTER = timedelta(minutes=5)
"""Whether a charger really charges shows by then; what would take less time is full."""
_USEFUL = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class _Moment:
    """The chargers at the moment at which a lot is put on.

    `empty` are the bays that nothing is put on, `steps` the plan's, `uses` the kits' bookings of
    the next day; an adult is noted `there` until then.
    """

    fleet: Mapping[KitId, KitNow]
    before: Mapping[Thing, OnCharge]
    empty: frozenset[int]
    steps: Mapping[Thing, ChargeStep]
    uses: Mapping[KitId, Sequence[Window]]
    there: datetime | None


def put_on(tx: Tx, who: Who, things: Sequence[Thing], plan: Sequence[ChargeStep]) -> LotOn:
    """Note a lot, each for as long as the plan says, or else until it is full."""
    clear(tx, who.club, who.now - DAY)
    here = _Moment(
        kits(tx, who.club),
        on_chargers(tx, who.club),
        frozenset(bay for _, bay in left_empty(tx, who.club)),
        {(step.kit.id, step.own): step for step in reversed(plan)},
        charge_plan.uses(tx, who, Window(who.now, who.now + DAY), {kit for kit, _ in things}),
        _there_until(tx, who),
    )
    lot: list[OnCharge] = []
    left: list[NotPutOn] = []
    booked: list[tuple[KitRef, datetime]] = []
    for thing in things:
        kit, length = here.fleet[thing[0]], _length(tx, who, here, thing)
        taken = {each.bay for each in (*here.before.values(), *lot) if each.thing != thing}
        taken |= here.empty
        bay = 0 if thing[1] else _bay(here.steps.get(thing), taken, who.settings.charge_bays)
        why = _why_not(here, thing, length, who.now) or ("no bay" if bay is None else "")
        if why or bay is None:
            left.append(NotPutOn(kit.ref, thing[1], why))
            continue
        use = next((use.start for use in here.uses.get(thing[0], ())), who.now + length)
        if use < who.now + length:
            booked.append((kit.ref, use))
        lot.append(_on(tx, who, here, thing, bay, min(use, who.now + length)))
    store.put_on(tx, who.club, lot)
    _owe(tx, who, lot)
    before = charge_plan.on_now(here.fleet, here.before.values())
    on = charge_plan.on_now(here.fleet, lot)
    return LotOn(on, tuple(left), before, here.there is not None, tuple(booked))


def _there_until(tx: Tx, who: Who) -> datetime | None:
    """Return until when an adult is noted there; None where nobody is now."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    spans = attended(calendar, who.now, who.now + DAY)
    return next((span.end for span in spans if span.start <= who.now), None)


def level_of(tx: Tx, who: Who, thing: Thing, at: datetime) -> float:
    """Return the level that a unit or tablet had at a moment, nine times in ten or more."""
    kit, own = thing
    found = (energy.tablets if own else energy.beliefs)(tx, who, [kit], at)
    return found[kit].belief.level.low if kit in found else 0.0


def _length(tx: Tx, who: Who, here: _Moment, thing: Thing) -> timedelta:
    if (step := here.steps.get(thing)) is not None:
        return step.window.length
    level = level_of(tx, who, thing, who.now)
    return timedelta(minutes=energy.curve_of(who, own=thing[1]).minutes(level))


def _bay(step: ChargeStep | None, taken: Collection[int], bays: int | None) -> int | None:
    """Return the plan's bay or else the first that is free; None where all are taken."""
    if step is not None and step.bay not in taken:
        return step.bay
    most = max(taken, default=0) + 1 if bays is None else bays
    return next((bay for bay in range(1, most + 1) if bay not in taken), None)


def _why_not(here: _Moment, thing: Thing, length: timedelta, now: datetime) -> str:
    """Return why a thing isn't put on, whether or not there is a bay for it; "" where it may be."""
    before = here.before.get(thing)
    if before is not None and before.until > now:
        return "on"
    return why_not(here.fleet[thing[0]]) or ("full" if length < LOOK_AFTER else "")


def _on(tx: Tx, who: Who, here: _Moment, thing: Thing, bay: int, until: datetime) -> OnCharge:
    """Return a charge until then, or until the adult who is there now leaves."""
    until = until if here.there is None else min(until, here.there)
    minutes = (until - who.now) / timedelta(minutes=1)
    curve = energy.curve_of(who, own=thing[1])
    reached = curve.level_after(level_of(tx, who, thing, who.now), minutes)
    return OnCharge(thing, bay, who.now, until, round(100 * reached))


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
