"""Before a busy day: will each unit and tablet last, where to charge or swap in between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time

from clubbot.desk import charge_plan
from clubbot.desk.acting import Who
from clubbot.desk.swept import Swept
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.busy import busy, busy_due
from clubbot.rules.model import KitId, Window
from clubbot.rules.results import BusyDay, BusyShort, ChargeSteps, KitRef
from clubbot.store import bookings, clubs
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.notices import NewNotice, NoticeRow

BUSY_DAY = "busy day"


def due(club: Swept) -> Iterator[NewNotice]:
    """Yield what the adults are owed about tomorrow, where it is busy and kits are booked."""
    day = club.calendar.day_of(club.now) + DAY
    moment = busy_due(club.calendar, day, club.row.settings)
    if moment is None or not club.fresh(moment):
        return
    if any(
        each.kind == "use" and club.calendar.day_of(each.window.start) == day
        for each in club.bookings
    ):
        for person in club.adults:
            yield club.notice(BUSY_DAY, "day", moment, person)


def told(tx: Tx, who: Who, row: NoticeRow) -> BusyDay | None:
    """Return what a busy day asks for; None where everything lasts as it is."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    day = date.fromisoformat(row.occurrence)
    sessions = busy(calendar, day)
    end = calendar.instant(day + DAY, time.min)
    if not sessions or end <= who.now:
        return None
    span = Window(who.now, end)
    fleet = kits(tx, who.club)
    booked = _booked(tx, who, calendar, day)
    plan = charge_plan.steps(tx, who, calendar, [fleet[kit].ref for kit in booked], span)
    first = sessions[0].window.start
    short = tuple(_short(plan, fleet, booked, first))
    if not plan.steps and not short:
        return None
    troubled = {each.kit.id for each in plan.steps} | {each.kit.id for each in short}
    return BusyDay(
        window=Window(first, sessions[-1].window.end),
        sessions=len(sessions),
        lasts=tuple(fleet[kit].ref for kit in booked if kit not in troubled),
        before=tuple(each for each in plan.steps if each.window.start < first),
        between=tuple(each for each in plan.steps if each.window.start >= first),
        short=short,
    )


def _booked(tx: Tx, who: Who, calendar: ClubCalendar, day: date) -> dict[KitId, tuple[Window, ...]]:
    """Return the kits that are booked on a day, each with its uses, in the order of the labels."""
    start = calendar.instant(day, time.min)
    span = Window(start, calendar.instant(day + DAY, time.min))
    found: dict[KitId, list[Window]] = {}
    for booking in bookings.between(tx, who.club, span):
        for kit in booking.chosen if booking.kind == "use" else ():
            found.setdefault(kit, []).append(booking.window)
    return {kit: tuple(sorted(found[kit])) for kit in kits(tx, who.club) if kit in found}


def _short(
    plan: ChargeSteps,
    fleet: Mapping[KitId, KitNow],
    booked: Mapping[KitId, tuple[Window, ...]],
    first: datetime,
) -> Iterator[BusyShort]:
    """Yield what isn't sure to last, from the use on that it fails, each with another kit."""
    spare = list(plan.instead)
    failing: dict[tuple[KitId, bool], datetime] = {
        (each.kit.id, each.own): max(each.deadline, first) for each in plan.short
    }
    for refs, own in ((plan.beyond, False), (plan.tablets_beyond, True)):
        for ref in refs:
            failing.setdefault((ref.id, own), booked[ref.id][-1].start)
    for (kit, own), since in sorted(failing.items(), key=lambda each: each[1]):
        instead: KitRef | None = spare.pop(0) if spare and not own else None
        yield BusyShort(fleet[kit].ref, own, since, instead)
