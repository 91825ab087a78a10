"""What is believed of the batteries, from what the ledger says of each kit."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from clubbot.desk.acting import Who
from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.hours import attended
from clubbot.rules.energy.needs import Needs, needs
from clubbot.rules.energy.plan import charge_plan, what_helps
from clubbot.rules.energy.story import KINDS, Known, known
from clubbot.rules.model import KitId, Window
from clubbot.rules.results import ChargeStep, ChargeSteps, ChargeTooShort, KitRef
from clubbot.store import bookings, clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_LOOKED_BACK = timedelta(days=400)
"""What was said of a battery longer ago than this says little of it now."""
_WALK = timedelta(minutes=10)
"""How long after the list somebody can have reached the chargers."""


def beliefs(tx: Tx, who: Who, wanted: Iterable[KitId], now: datetime) -> dict[KitId, Known]:
    """Return what is believed of these kits' batteries."""
    entries = ledger.of_kinds(tx, who.club, KINDS, now - _LOOKED_BACK)
    run = clubs.run_minutes(tx, who.club)
    fleet = kits(tx, who.club)
    return {
        kit: known(
            run[fleet[kit].kit.kit_type], entries.get(kit, []), now, who.settings.driving_percent
        )
        for kit in wanted
    }


def steps(
    tx: Tx, who: Who, calendar: ClubCalendar, wanted: Iterable[KitRef], span: Window
) -> ChargeSteps:
    """Return who is charged when on which bay, so that these kits last their bookings in a span."""
    refs = {kit.id: kit for kit in wanted}
    uses: dict[KitId, list[Window]] = {kit: [] for kit in refs}
    for booking in bookings.between(tx, who.club, span):
        for kit in booking.chosen if booking.kind == "use" else ():
            if kit in uses and booking.window.start > who.now:
                uses[kit].append(booking.window)
    seen = beliefs(tx, who, [kit for kit, windows in uses.items() if windows], who.now)
    hours = attended(calendar, who.now + _WALK, span.end)
    found = {kit: _needs(who, kit, seen[kit], sorted(uses[kit]), hours) for kit in seen}
    tasks = [task for each in found.values() for task in each.tasks]
    bays = who.settings.charge_bays or max(1, len(tasks))
    plan = charge_plan(tasks, hours, bays)
    helps = what_helps(tasks, hours, bays)
    return ChargeSteps(
        steps=tuple(
            ChargeStep(refs[each.kit], each.bay, each.window, each.last) for each in plan.stretches
        ),
        short=tuple(
            ChargeTooShort(refs[each.kit], each.minutes, each.deadline) for each in plan.short
        ),
        beyond=tuple(refs[kit] for kit, each in found.items() if each.beyond),
        enough=tuple(
            refs[kit] for kit, each in found.items() if not each.tasks and not each.beyond
        ),
        bays=who.settings.charge_bays,
        more_bays=helps.more_bays,
        adult_from=helps.adult_from,
        hours=bool(hours),
    )


def _needs(who: Who, kit: KitId, of: Known, uses: list[Window], hours: list[Window]) -> Needs:
    return needs(
        kit,
        of.belief,
        uses,
        who.now,
        curve=of_full_charge(who.settings.charge_minutes),
        driving_percent=who.settings.driving_percent,
        hours=hours,
    )
