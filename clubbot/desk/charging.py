"""Charging: the week's list, and what was charged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, time

from clubbot.desk import charge_plan, energy, storing
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.chargers import on_chargers
from clubbot.desk.finding import named
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.saying import charged_to, doubts, units_and_tablets
from clubbot.rules.energy.storage import LONG_BREAK
from clubbot.rules.faults import Symptom
from clubbot.rules.fitting import ALWAYS
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import ClubId, ItemKind, KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import Charged, ChargeLine, ChargeList, FaultLine, KitRef
from clubbot.store import bookings, clubs, faults, fitting, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

_NOT_TO_CHARGE = frozenset({Symptom.WILL_NOT_CHARGE, Symptom.BATTERY_DANGER})
WONT_FIX = _NOT_TO_CHARGE | {Symptom.SHORT_RUN}
"""Faults that a charge doesn't help against; one that runs short needs its charges all the same."""


@look(Deed.SEE_CHARGE_LIST)
def charge_list(tx: Tx, who: Who) -> ChargeList:
    """Return which kits have sessions from now on for a week, and when each was last charged."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    return planned(tx, who, calendar, calendar.day_of(who.now), since=who.now)


def planned(
    tx: Tx,
    who: Who,
    calendar: ClubCalendar,
    day: date,
    *,
    since: datetime | None = None,
    seconds: float = 0.6,
) -> ChargeList:
    """Return the charge list of a day's week, with who is charged when on which bay."""
    found = _of_batteries(tx, who, of_week(tx, who.club, calendar, day, since))
    free = [line.kit.id for line in found.idle if line.why_not is None]
    week = Window(calendar.instant(day, time.min), calendar.instant(found.until, time.min))
    found = replace(found, to_half=storing.too_empty(tx, who, calendar, week, free))
    on = charge_plan.on_now(kits(tx, who.club), on_chargers(tx, who.club).values())
    until = calendar.instant(found.until + DAY, time.min)
    if until <= who.now or not found.needed:
        return replace(found, on=on)
    open_ = faults.still_open(tx, who.club)
    plan = charge_plan.steps(
        tx,
        who,
        calendar,
        [line.kit for line in found.needed],
        Window(who.now, until),
        but={each.kit.id for each in open_ if each.kit is not None and _stops_charging(each)},
        seconds=seconds,
    )
    return replace(found, on=on, plan=plan, faulty=_faulty(open_, found))


def _of_batteries(tx: Tx, who: Who, found: ChargeList) -> ChargeList:
    """Return a list that speaks of the batteries that are in the kits now, not of those before."""
    here = energy.here_since(tx, who)
    moved = [
        line.kit.id
        for line in found.needed
        if here.get(line.kit.id, ALWAYS) > (line.charged_at or ALWAYS)
    ]
    if not moved:
        return found
    known = energy.beliefs(tx, who, moved, who.now)
    lines = [
        replace(line, charged_at=known[line.kit.id].charged_at, uses_since=0)
        if line.kit.id in known
        else line
        for line in found.needed
    ]
    return replace(found, needed=tuple(sorted(lines, key=_most_used)))


def _most_used(line: ChargeLine) -> tuple[int, int]:
    return -line.uses_since, -line.sessions


def _stops_charging(fault: FaultLine) -> bool:
    """Say whether a kit's unit isn't to be charged for a fault; another charger may do it."""
    return fault.symptom in _NOT_TO_CHARGE and fault.thing not in ("tablet", "charger")


def _faulty(open_: Iterable[FaultLine], found: ChargeList) -> tuple[tuple[KitRef, int], ...]:
    """Return the booked kits with an open fault that charging won't fix, each with its number."""
    booked = {line.kit for line in found.needed}
    return tuple(
        (fault.kit, fault.number)
        for fault in open_
        if fault.kit in booked and fault.kit is not None and fault.symptom in WONT_FIX
    )


def of_week(
    tx: Tx, club: ClubId, calendar: ClubCalendar, day: date, since: datetime | None = None
) -> ChargeList:
    """Return the charge list for the seven days after a day, or from a moment of that day on.

    Kits that were used most since their last charge come first: they need it most.
    """
    until = day + 7 * DAY
    start = since or calendar.instant(day + DAY, time.min)
    span = Window(start, calendar.instant(until + DAY, time.min))
    coming = bookings.uses(tx, club, span) if since is None else _to_begin(tx, club, span)
    known = kits(tx, club)
    used = ledger.given_out_since_charge(tx, club)
    lines = {
        kit: ChargeLine(
            kit=now.ref,
            sessions=coming.get(kit, 0),
            charged_at=now.position.charged_at,
            uses_since=used.get(kit, 0),
            why_not=None if now.position.use is Use.IN_USE else str(now.position.use),
        )
        for kit, now in known.items()
        if now.position.use not in (Use.LOST, Use.SCRAPPED)
    }
    needed = sorted(
        (line for line in lines.values() if line.sessions and line.why_not is None),
        key=_most_used,
    )
    idle = [line for line in lines.values() if line not in needed]
    return ChargeList(day, until, tuple(needed), tuple(idle), since=since)


def owed(tx: Tx, club: ClubId, calendar: ClubCalendar, day: date) -> bool:
    """Say whether a week's list may be owed: kits are booked, and no long break has begun.

    Before a long break what to do for storing batteries is said instead.
    """
    ahead = calendar.sessions(day + DAY, day + LONG_BREAK - DAY)
    return bool(ahead or not calendar.meetings) and bool(of_week(tx, club, calendar, day).needed)


def worth_saying(found: ChargeList) -> bool:
    """Say whether a list asks for anything: nobody is told that nothing needs a charge."""
    plan = found.plan
    if found.to_half:
        return True
    if plan is None:
        return bool(found.needed)
    asks = plan.steps or plan.short or plan.beyond or plan.tablets_beyond or found.faulty
    return bool(found.needed and asks)


def _to_begin(tx: Tx, club: ClubId, span: Window) -> Counter[KitId]:
    """Return for how many bookings that begin in a span each kit is chosen."""
    return Counter(
        kit
        for booking in bookings.between(tx, club, span)
        if booking.kind == "use" and booking.window.start > span.start
        for kit in booking.chosen
    )


@deed(Deed.SIGN_CHARGE)
def charged(tx: Tx, who: Who, text: str) -> Charged | Refused:
    """Note that kits or tablets were charged, to full where nothing else is said.

    "All" are the kits that are on the shelf and in use, or every tablet that is listed.
    """
    to = charged_to(text)
    if to is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "level"})
    percent, rest = to
    words, tablet_words = units_and_tablets(rest)
    on_shelf = [
        now
        for now in kits(tx, who.club).values()
        if not now.position.out and now.position.use is Use.IN_USE
    ]
    paired = {each.kit for each in fitting.things(tx, who.club, ItemKind.TABLET)}
    with_tablet = [now for now in kits(tx, who.club).values() if now.kit.id in paired]
    units = _meant(tx, who, words, on_shelf) if words or not tablet_words else ()
    tablets = _meant(tx, who, tablet_words, with_tablet) if tablet_words else ()
    if isinstance(units, Refused):
        return units
    if isinstance(tablets, Refused):
        return tablets
    return note_charged(tx, who, units, tablets, percent)


def _meant(tx: Tx, who: Who, words: str, every: Sequence[KitNow]) -> tuple[KitNow, ...] | Refused:
    """Return the kits that words name, "all" being these; none that they say the contrary of."""
    wanted = named(words, kits(tx, who.club), {}, but=True)
    if isinstance(wanted, Refused):
        return wanted
    if doubts(words) and not wanted.but:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "charge"})
    chosen = wanted.among(every) if wanted.all else wanted.kits
    return chosen or Refused(Reason.UNKNOWN_KIT, {"word": ""})


def held_back(kind: EntryKind, chosen: Iterable[KitNow]) -> Refused | None:
    """Return the refusal where a charge is to be noted of a kit that is on hold."""
    held = next((now for now in chosen if now.position.use is Use.HELD), None)
    if held is None or kind is not EntryKind.CHARGED:
        return None
    return Refused(Reason.ON_HOLD, {"label": held.kit.label, "note": held.position.held or ""})


def note_charged(
    tx: Tx,
    who: Who,
    units: Sequence[KitNow],
    tablets: Sequence[KitNow] = (),
    percent: int | None = None,
) -> Charged | Refused:
    """Note a charge of kits and tablets, unless one of them is on hold."""
    if refused := held_back(EntryKind.CHARGED, [*units, *tablets]):
        return refused
    drafts = [
        Draft(EntryKind.CHARGED, kit=now.kit.id, detail=Detail(percent=percent, own=own))
        for own, some in ((False, units), (True, tablets))
        for now in some
    ]
    who.append(tx, drafts)
    refs = [tuple(now.ref for now in some) for some in (units, tablets)]
    return Charged(refs[0], refs[1], percent)


@deed(Deed.SIGN_CHARGE)
def listed_charged(tx: Tx, who: Who, listed: str) -> Charged | Refused:
    """Note that all kits of a list were charged, but for those that are out.

    The list is named by its day, or by the day and the time at which it was asked for.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    try:
        at = datetime.fromisoformat(listed)
    except ValueError:
        return Refused(Reason.OUT_OF_DATE)
    since = calendar.instant(at.date(), at.time()) if "T" in listed else None
    needed = of_week(tx, who.club, calendar, at.date(), since).needed
    known = kits(tx, who.club)
    needs = {line.kit.id for line in needed}
    chosen = [now.ref for kit, now in known.items() if kit in needs and not now.position.out]
    if not chosen:
        return Refused(Reason.OUT_OF_DATE)
    who.append(tx, [Draft(EntryKind.CHARGED, kit=kit.id) for kit in chosen])
    return Charged(tuple(chosen))
