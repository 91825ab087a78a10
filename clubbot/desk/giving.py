"""Kits into a team's hands: what giving out and passing on have in common."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clubbot.desk.acting import Who
from clubbot.desk.fleet import NEW, Picture, assign
from clubbot.desk.outcomes import as_they_stand
from clubbot.rules.availability import Demand, Impossible, Limit, Possible, decide
from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.late import due_on_open_day
from clubbot.rules.ledger import Before, Detail, EntryKind, Use
from clubbot.rules.model import BookingId, KitId, Reason, Refused, Window
from clubbot.rules.results import HandedOut, TeamRef
from clubbot.store import bookings
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.ledger import Draft

USUAL_USE = timedelta(minutes=90)
"""How long kits go out for without a booking and outside any meeting: one usual session."""


@dataclass(frozen=True, slots=True)
class Handed:
    """What goes to whom: for a booking or without one; no kits named means those chosen.

    `until` is when it is due without a booking, where that is known; `givers` are the bookings
    that it comes from, as they were.
    """

    booking: LiveBooking | None
    team: TeamRef | None
    kits: tuple[KitId, ...]
    passing: bool = False
    until: datetime | None = None
    givers: tuple[LiveBooking, ...] = ()

    @property
    def before(self) -> tuple[Before, ...]:
        """How the bookings stand that change by it."""
        touched = (*self.givers, *([self.booking] if self.booking else []))
        return tuple((each.id, each.count, each.chosen, each.named) for each in touched)


def hand(tx: Tx, who: Who, seen: Picture, what: Handed) -> HandedOut | Refused:
    """Put kits into a team's hands, if that leaves every other promise as it stands.

    Without a booking one is made, to the end of the session that runs, so that what is out is
    always promised to somebody. So is one for kits beyond a booking that has all its own.
    """
    if what.booking and what.kits and len(seen.out_for(what.booking)) >= what.booking.count:
        what = replace(what, booking=None, until=what.booking.window.end)
    if refused := _not_usable(seen, what):
        return refused
    demand = _demand(who, seen, what)
    others = [each for each in seen.demands if each.booking != demand.booking]
    answer = decide(seen.fleet, others, demand)
    if not isinstance(answer, Possible) and what.booking is not None and not what.kits:
        demand = replace(demand, fixed=seen.out_for(what.booking))
        answer = decide(seen.fleet, others, demand)
    if not isinstance(answer, Possible):
        return _no(seen, demand, answer)
    chosen = answer.assignment[demand.booking]
    booking = what.booking.id if what.booking else _added(tx, who, demand)
    if what.booking and demand.count > what.booking.count:
        bookings.widen(tx, who.club, booking, demand.count)
    given = what.kits or tuple(k for k in chosen if not seen.kits[k].position.out)
    others_before = as_they_stand(seen, answer.assignment)
    swaps = assign(tx, who, seen, {**answer.assignment, demand.booking: chosen})
    bookings.told(tx, who.club, booking, who.now)
    due = due_on_open_day(demand.window.end, seen.calendar)
    kind = EntryKind.PASSED_ON if what.passing else EntryKind.GIVEN_OUT
    team = what.team.id if what.team else None
    known = {each[0] for each in what.before}
    moved = tuple(each for each in others_before if each[0] not in known)
    detail = Detail(team, booking, due, before=(*what.before, *moved))
    who.append(tx, [Draft(kind, kit=kit, detail=detail) for kit in given])
    return HandedOut(
        kits=tuple(seen.kits[kit].ref for kit in seen.kits if kit in given),
        team=what.team,
        due=due,
        number=what.booking.number if what.booking else None,
        swaps=swaps,
    )


def _not_usable(seen: Picture, what: Handed) -> Refused | None:
    named = [seen.kits[kit] for kit in what.kits]
    for now in named:
        if now.position.use is not Use.IN_USE:
            held = now.position.use is Use.HELD
            note = now.position.held if held else now.position.withdrawn
            reason = Reason.ON_HOLD if held else Reason.OUT_OF_USE
            return Refused(reason, {"label": now.kit.label, "note": note or ""})
        if now.position.out and not what.passing:
            return _already_out(seen, now, named)
    if what.booking is not None and not what.kits:
        out = seen.out_for(what.booking)
        if out and len(out) >= min(what.booking.count, len(what.booking.chosen)):
            return _already_out(seen, seen.kits[out[0]], [seen.kits[kit] for kit in out])
    return None


def _already_out(seen: Picture, now: KitNow, named: list[KitNow]) -> Refused:
    team = seen.teams.get(now.position.team) if now.position.team else None
    labels = tuple(each.kit.label for each in named if each.position.out)
    facts = {"what": "out", "labels": labels, "team": team.name if team else ""}
    return Refused(Reason.ALREADY, facts)


def _demand(who: Who, seen: Picture, what: Handed) -> Demand:
    """Return what is wanted from now on: what is in a team's hands early is needed from now."""
    if what.booking is not None:
        booking = what.booking
        if 0 < len(booking.chosen) < booking.count:
            booking = replace(booking, count=len(booking.chosen))
        known = seen.demand(booking)
        fixed = tuple(dict.fromkeys((*seen.out_for(what.booking), *what.kits)))
        if not what.kits:
            fixed = known.fixed
        return replace(
            known,
            window=Window(min(known.window.start, who.now), known.window.end),
            fixed=fixed,
            count=max(known.count, len(fixed)),
        )
    end = what.until or end_of_use(seen.calendar, who.now)
    return Demand(
        booking=NEW,
        window=Window(who.now, end),
        kit_type=seen.kits[what.kits[0]].kit.kit_type,
        count=len(what.kits),
        group=what.team.id if what.team else None,
        fixed=what.kits,
    )


def end_of_use(calendar: ClubCalendar, now: datetime) -> datetime:
    """Return until when kits go out without a booking: to the end of the session that runs."""
    session = calendar.session_with(Window(now, now + timedelta(minutes=1)))
    return session.window.end if session else now + USUAL_USE


def _added(tx: Tx, who: Who, demand: Demand) -> BookingId:
    added = bookings.add(
        tx,
        who.club,
        team=demand.group,
        kit_type=demand.kit_type,
        count=demand.count,
        window=demand.window,
        booked_by=None,
        now=who.now,
    )
    named = frozenset(demand.fixed)
    bookings.choose(tx, who.club, added.id, demand.fixed, named, who.now)
    return added.id


def _no(seen: Picture, demand: Demand, answer: object) -> Refused:
    if isinstance(answer, Impossible) and answer.limit is Limit.NAMED:
        labels = tuple(seen.kits[kit].kit.label for kit in answer.kits)
        return Refused(Reason.KIT_TAKEN, {"labels": labels, "window": demand.window})
    possible = answer.possible if isinstance(answer, Impossible) else 0
    return Refused(
        Reason.NONE_FREE,
        {"possible": possible, "count": demand.count, "window": demand.window},
    )
