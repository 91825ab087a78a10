"""Charging: the week's list, and what was charged."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, datetime, time

from clubbot.desk import charge_plan
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.storage import LONG_BREAK
from clubbot.rules.faults import Symptom
from clubbot.rules.ledger import EntryKind, Use
from clubbot.rules.model import ClubId, KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import Charged, ChargeLine, ChargeList, KitRef
from clubbot.store import bookings, clubs, faults, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft

WONT_FIX = frozenset({Symptom.WILL_NOT_CHARGE, Symptom.SHORT_RUN, Symptom.BATTERY_DANGER})
"""Faults that a charge doesn't help against."""


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
    found = of_week(tx, who.club, calendar, day, since)
    if not found.needed:
        return found
    until = calendar.instant(found.until + DAY, time.min)
    if until <= who.now:
        return found
    span = Window(who.now, until)
    plan = charge_plan.steps(
        tx, who, calendar, [line.kit for line in found.needed], span, seconds=seconds
    )
    return replace(found, plan=plan, faulty=_faulty(tx, who, found))


def _faulty(tx: Tx, who: Who, found: ChargeList) -> tuple[tuple[KitRef, int], ...]:
    """Return the booked kits with an open fault that charging won't fix, each with its number."""
    booked = {line.kit for line in found.needed}
    return tuple(
        (fault.kit, fault.number)
        for fault in faults.still_open(tx, who.club)
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
        key=lambda line: (-line.uses_since, -line.sessions),
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
    """Note that kits were charged to full; "all" are those that are on the shelf and in use."""
    known = kits(tx, who.club)
    wanted = named(text, known, {})
    if isinstance(wanted, Refused):
        return wanted
    chosen = wanted.kits
    if wanted.all:
        chosen = tuple(
            now for now in known.values() if not now.position.out and now.position.use is Use.IN_USE
        )
    if not chosen:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    if held := [now for now in chosen if now.position.use is Use.HELD]:
        facts = {"label": held[0].kit.label, "note": held[0].position.held or ""}
        return Refused(Reason.ON_HOLD, facts)
    who.append(tx, [Draft(EntryKind.CHARGED, kit=now.kit.id) for now in chosen])
    return Charged(tuple(now.ref for now in chosen))


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
