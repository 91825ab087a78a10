"""Who is charged when on which bay, so that kits last what they are booked for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.desk.chargers import left_empty, on_chargers
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.assumed import AIM, SURE
from clubbot.rules.energy.belief import Belief, after
from clubbot.rules.energy.events import Charged
from clubbot.rules.energy.filling import towards_full
from clubbot.rules.energy.hours import attended
from clubbot.rules.energy.needs import STEP, Needs, Task, chances, needs
from clubbot.rules.energy.plan import Bays, ChargePlan, Helps, charge_plan, what_helps
from clubbot.rules.energy.story import Known
from clubbot.rules.ledger import Use
from clubbot.rules.model import KitId, Window
from clubbot.rules.results import ChargeStep, ChargeSteps, ChargeTooShort, KitRef, OnNow
from clubbot.store import bookings
from clubbot.store.charging import OnCharge, Thing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits

WALK = timedelta(minutes=10)
"""How long after the list somebody can have reached the chargers."""
SLACK = timedelta(minutes=15)
"""How late somebody may come to the chargers without spoiling the plan."""
COOL = timedelta(minutes=15)
"""A battery cools down after driving before it is charged; common practice, no source."""
LUNCH = time(12), time(13)
"""When an adult might stay in the room; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Found:
    """What a kit's unit or tablet needs, and the kit's uses in the span."""

    needs: Needs
    uses: tuple[Window, ...]


def steps(
    tx: Tx,
    who: Who,
    calendar: ClubCalendar,
    wanted: Iterable[KitRef],
    span: Window,
    *,
    but: Collection[KitId] = (),
    seconds: float = 0.6,
) -> ChargeSteps:
    """Return the plan by which these kits last their bookings in a span.

    The solver is given so many seconds. What is on the chargers already stays there to its end;
    `but` are kits whose units no charge helps.
    """
    refs = {kit.id: kit for kit in wanted}
    fleet = kits(tx, who.club)
    on = on_chargers(tx, who.club)
    booked = uses(tx, who, span, refs)
    hours = attended(calendar, who.now + WALK, span.end)
    seen = _seen(tx, who, booked, but)
    empty = left_empty(tx, who.club)
    taken = _taken(on.values(), empty, span)
    # Where bays or hours don't do for charges that make almost sure, those for nine in ten have to.
    for sure in (AIM, SURE):
        found = _needs(who, seen, booked, on, hours, sure)
        tasks = _tasks(found, fleet)
        bays = Bays(who.settings.charge_bays or max(1, len(tasks)) + len(taken), taken)
        plan = charge_plan(tasks, hours, bays, slack=SLACK, seconds=seconds)
        if not plan.short:
            break
    made = _made(refs, plan, towards_full(plan, tasks, hours), what_helps(tasks, hours, bays))
    made = replace(made, bays=who.settings.charge_bays, hours=bool(calendar.hours), empty=empty)
    if plan.short:
        made = replace(made, lunch=_lunch(tasks, calendar, hours, bays, who.now))
    left_on = [thing for thing, each in on.items() if each.until <= who.now]
    made = _asked(replace(made, on=on_now(fleet, on.values())), refs, found, left_on)
    return replace(made, fewer=_fewer(made, booked), instead=_instead(tx, who, made, booked, but))


def _taken(
    on: Iterable[OnCharge], empty: Iterable[tuple[KitRef, int]], span: Window
) -> tuple[tuple[int, Window], ...]:
    """Return which bay is taken when: by what is on, or for the whole span where it stays empty."""
    now = [(each.bay, Window(each.put_on_at, each.until)) for each in on if each.bay]
    return (*now, *((bay, span) for _, bay in empty))


def _asked(
    made: ChargeSteps,
    refs: Mapping[KitId, KitRef],
    found: Mapping[Thing, _Found],
    left_on: Collection[Thing],
) -> ChargeSteps:
    """Return a plan with those for which no charge is enough, and those that need none."""
    beyond = [thing for thing, each in found.items() if each.needs.beyond]
    return replace(
        made,
        beyond=tuple(refs[kit] for kit, own in beyond if not own),
        tablets_beyond=tuple(refs[kit] for kit, own in beyond if own),
        enough=tuple(
            refs[kit]
            for (kit, own), each in found.items()
            if not (own or each.needs.tasks or each.needs.beyond or (kit, own) in left_on)
        ),
    )


def _fewer(made: ChargeSteps, booked: Mapping[KitId, Sequence[Window]]) -> int:
    """Return how many kits fewer would do; 0 where no kit would be left for some use."""
    for deadline in {each.deadline for each in made.short if not each.own}:
        short = {each.kit.id for each in made.short if each.deadline == deadline and not each.own}
        if all(
            kit in short for kit, uses in booked.items() if deadline in {use.start for use in uses}
        ):
            return 0
    return made.fewer


def _made(
    refs: Mapping[KitId, KitRef], plan: ChargePlan, full: ChargePlan, helps: Helps
) -> ChargeSteps:
    """Return a plan as people see it, `full` where time is left, and what would help it."""
    return ChargeSteps(
        steps=tuple(
            ChargeStep(refs[each.kit], each.bay, each.window, each.last, each.own)
            for each in full.stretches
        ),
        short=tuple(
            ChargeTooShort(refs[each.kit], each.minutes, each.deadline, each.own)
            for each in plan.short
        ),
        beyond=(),
        enough=(),
        bays=None,
        more_bays=helps.more_bays,
        adult_from=helps.adult_from,
        hours=True,
        fewer=helps.fewer,
        not_before=plan.not_before,
        enough_at=max((each.window.end for each in plan.stretches), default=None),
        moments=plan.moments,
    )


def on_now(fleet: Mapping[KitId, KitNow], on: Iterable[OnCharge]) -> tuple[OnNow, ...]:
    """Return what is on the chargers as people see it."""
    return tuple(
        OnNow(
            fleet[each.thing[0]].ref,
            each.thing[1],
            each.bay,
            each.until,
            each.percent,
            each.shows,
        )
        for each in on
    )


def uses(
    tx: Tx, who: Who, span: Window, wanted: Iterable[KitId]
) -> dict[KitId, tuple[Window, ...]]:
    """Return the bookings to come of the kits that have any, in order of time."""
    found: dict[KitId, list[Window]] = {kit: [] for kit in wanted}
    for booking in bookings.between(tx, who.club, span):
        for kit in booking.chosen if booking.kind == "use" else ():
            if kit in found and booking.window.start > who.now:
                found[kit].append(booking.window)
    return {kit: tuple(sorted(windows)) for kit, windows in found.items() if windows}


def _seen(tx: Tx, who: Who, booked: Iterable[KitId], but: Collection[KitId]) -> dict[Thing, Known]:
    """Return what is believed of the units' batteries and the tablets that have a use."""
    wanted = list(booked)
    units = energy.beliefs(tx, who, [kit for kit in wanted if kit not in but], who.now)
    tablets = energy.tablets(tx, who, wanted, who.now)
    seen = {(kit, False): known for kit, known in units.items()}
    return seen | {(kit, True): known for kit, known in tablets.items()}


def _needs(
    who: Who,
    seen: Mapping[Thing, Known],
    uses: Mapping[KitId, tuple[Window, ...]],
    on: Mapping[Thing, OnCharge],
    hours: Sequence[Window],
    sure: float,
) -> dict[Thing, _Found]:
    """Return what the units and the tablets need; a tablet can be plugged in while it is used."""
    found: dict[Thing, _Found] = {}
    for (kit, own), known in seen.items():
        belief, start = _once_off(known.belief, on.get((kit, own)), who.now)
        asked = needs(
            kit,
            belief,
            uses[kit],
            start,
            curve=energy.curve_of(who, own=own),
            driving_percent=energy.TABLETS_DRIVE if own else who.settings.driving_percent,
            hours=hours,
            sure=SURE if own else sure,
        )
        found[kit, own] = _Found(asked, uses[kit])
    return found


def _once_off(belief: Belief, on: OnCharge | None, now: datetime) -> tuple[Belief, datetime]:
    """Return what is believed once what is on comes off, and when that is."""
    if on is None:
        return belief, now
    return after(belief, [Charged(on.percent / 100)]), max(now, on.until)


def _tasks(found: Mapping[Thing, _Found], fleet: Mapping[KitId, KitNow]) -> list[Task]:
    return [
        replace(_cooled(task, each.uses, fleet[kit]), own=own)
        for (kit, own), each in found.items()
        for task in each.needs.tasks
    ]


def _cooled(task: Task, uses: Iterable[Window], now: KitNow) -> Task:
    """Let nothing be charged while the kit is out, nor before it has cooled down."""
    busy = [Window(use.start, use.end + COOL) for use in uses]
    if now.position.out_since is not None and now.position.due is not None:
        end = max(now.position.due, now.position.out_since + STEP)
        busy.append(Window(now.position.out_since, end + COOL))
    return replace(task, busy=tuple(each for each in busy if each.overlaps(task.window)))


def _lunch(
    tasks: Sequence[Task],
    calendar: ClubCalendar,
    hours: Sequence[Window],
    bays: Bays,
    now: datetime,
) -> Window | None:
    """Return the first lunch break in which an adult's staying would make every charge possible."""
    until = calendar.day_of(max(task.window.end for task in tasks))
    day: date = calendar.day_of(now)
    while day <= until:
        at = Window(calendar.instant(day, LUNCH[0]), calendar.instant(day, LUNCH[1]))
        if calendar.open_day(day) and at.start > now:
            made = charge_plan(tasks, [*hours, at], bays, seconds=0)
            if not made.short:
                return at
        day += DAY
    return None


def _instead(
    tx: Tx,
    who: Who,
    made: ChargeSteps,
    booked: Mapping[KitId, Sequence[Window]],
    but: Collection[KitId],
) -> tuple[KitRef, ...]:
    """Return the kits that could go for one that won't last: nobody booked them, they will."""
    lacking = {each.kit.id for each in made.short if not each.own} | {k.id for k in made.beyond}
    uses = [use for kit in (*lacking, *but) for use in booked.get(kit, ())]
    if not uses:
        return ()
    free = {
        kit: now.ref
        for kit, now in kits(tx, who.club).items()
        if kit not in booked
        and kit not in but
        and now.position.use is Use.IN_USE
        and not now.position.out
    }
    longest = max(uses, key=lambda use: use.length)
    seen = energy.beliefs(tx, who, free, who.now)
    return tuple(
        ref
        for kit, ref in free.items()
        if chances(seen[kit].belief, [longest], who.settings.driving_percent)[0] >= SURE
    )
