"""Looking: today's list and one kit's card."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, time, timedelta
from functools import partial

from clubbot.desk.acting import Who, look
from clubbot.desk.finding import named
from clubbot.desk.fleet import Picture, picture
from clubbot.desk.lasting import Lasting, not_lasting
from clubbot.desk.outcomes import out_lines
from clubbot.desk.versions import not_today
from clubbot.rules.absence import acting_for
from clubbot.rules.calendar import DAY, Session
from clubbot.rules.late import is_late
from clubbot.rules.ledger import Use
from clubbot.rules.model import KitId, PersonId, Reason, Refused, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    FaultLine,
    KitCard,
    SessionRef,
    Today,
    TodayBooking,
    TodaySession,
    Todo,
)
from clubbot.rules.results.handover import ToDo
from clubbot.store import absences, bookings, clubs, faults, people, tags
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow


@look(Deed.SEE_TODAY)
def today(tx: Tx, who: Who) -> Today:
    """Return the day's sessions with who gets what, what is out, and what can't be used."""
    return of_day(tx, who, who.now.astimezone(who.zone).date())


def of_day(tx: Tx, who: Who, day: date) -> Today:
    """Return one day's list."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    span = Window(calendar.instant(day, time.min), calendar.instant(day + DAY, time.min))
    seen = picture(tx, who, span)
    near = [each for each in seen.bookings if each.window.overlaps(span)]
    wanted = [*(b for b in near if b.kind == "use"), *bookings.over(tx, who.club, span)]
    open_faults = faults.still_open(tx, who.club)
    lasting = not_lasting(tx, who, wanted)
    line = partial(
        _line, tx, who, seen, open_faults=open_faults, lasting=lasting, behind=not_today(tx, who)
    )
    sessions: list[TodaySession] = []
    for session in calendar.sessions(day, day):
        inside = [each for each in wanted if _belongs(each, session)]
        wanted = [each for each in wanted if each not in inside]
        sessions.append(
            TodaySession(
                session=SessionRef(session.day, session.name, session.window),
                adult=_runs_it(tx, who, session),
                bookings=_in_order(map(line, inside)),
            )
        )
    closure = calendar.closed(day)
    others = _in_order(map(line, wanted))
    return Today(
        day=day,
        sessions=tuple(sessions),
        others=others,
        out=out_lines(tx, who, dict(seen.kits)),
        not_usable=tuple(_not_usable(now) for now in seen.kits.values() if not _usable(now)),
        faults=len(open_faults),
        kept=tuple(seen.shown(each) for each in near if each.kind == "keep"),
        closed=None if closure is None else closure.why,
        todo=_todo(
            seen, [b for s in sessions for b in s.bookings] + list(others), open_faults, lasting
        ),
        tablets=_tablets(tx, who, seen),
    )


def _runs_it(tx: Tx, who: Who, session: Session) -> str | None:
    """Return the name of the adult who runs a session, or of who acts for them then."""
    if session.adult is None:
        return None
    away = absences.absences(tx, who.club)
    acting = acting_for(session.adult, session.window.start, away)
    return next((row.name for row in people.people(tx, who.club) if row.id == acting), None)


def _in_order(lines: Iterable[TodayBooking]) -> tuple[TodayBooking, ...]:
    """Put what differs from last time first, then what isn't ready, the rest, and what is over."""
    return tuple(
        sorted(lines, key=lambda each: (each.over, each.changed is None, not each.problems))
    )


_ORDER = ("charge", "fetch", "look", "swap", "fill", "plug")


def _todo(
    seen: Picture, lines: Iterable[TodayBooking], open_faults: list[FaultLine], lasting: Lasting
) -> tuple[Todo, ...]:
    """Return what to do about each kit that isn't ready: what takes longest to get begins."""
    found: list[Todo] = []
    by_id = {booking.id: booking for booking in seen.bookings}
    for line in lines:
        if not line.problems:
            continue
        booking = by_id[line.booking.id]
        for ref in line.booking.kits:
            problem = not_ready(seen.kits[ref.id], booking, open_faults, lasting)
            if problem:
                what, why = problem
                found.append(Todo(what, ref, line.booking.number, line.booking.team, why))
    return tuple(sorted(found, key=lambda each: _ORDER.index(each.what)))


def _tablets(tx: Tx, who: Who, seen: Picture) -> tuple[tuple[str, str], ...]:
    return tuple(
        (seen.kits[mix.unit].kit.label, seen.kits[mix.tablet].kit.label)
        for mix in tags.mixes(tx, who.club)
    )


def _belongs(booking: LiveBooking, session: Session) -> bool:
    return booking.window.overlaps(session.window) and booking.window.length < 2 * DAY


def _usable(now: KitNow) -> bool:
    return now.position.use in (Use.IN_USE, Use.SCRAPPED)


def _not_usable(now: KitNow) -> tuple[str, str]:
    note = now.position.held or now.position.withdrawn or ""
    use = Use.WITHDRAWN if now.position.use is Use.LOST else now.position.use
    return now.kit.label, f"{use}: {note}" if note else str(use)


def _line(
    tx: Tx,
    who: Who,
    seen: Picture,
    booking: LiveBooking,
    *,
    open_faults: list[FaultLine],
    lasting: Lasting,
    behind: Mapping[KitId, str],
) -> TodayBooking:
    shown = seen.shown(booking)
    changed: tuple[str, str] | None = None
    if booking.team is not None:
        before = bookings.last_kits(tx, who.club, booking.team, booking.window.start)
        if before and set(before) != set(booking.chosen):
            changed = (_labels(seen, before), _labels(seen, booking.chosen))
    over = all(each.id != booking.id for each in seen.bookings)
    # What isn't ready matters while a booking is to be had: then it is late, or was no matter.
    kits = () if over or booking.window.end <= who.now else booking.chosen
    problems = [
        (now.kit.label, problem[1])
        for kit in kits
        if (now := seen.kits[kit]) and (problem := not_ready(now, booking, open_faults, lasting))
    ]
    problems += [(seen.kits[kit].kit.label, behind[kit]) for kit in kits if kit in behind]
    return TodayBooking(shown, changed, tuple(problems), over)


def _labels(seen: Picture, kits: tuple[KitId, ...]) -> str:
    return ", ".join(now.kit.label for kit, now in seen.kits.items() if kit in kits)


def not_ready(
    now: KitNow, booking: LiveBooking, open_faults: list[FaultLine], lasting: Lasting | None = None
) -> tuple[ToDo, str] | None:
    """Return what to do about a kit that isn't ready for a booking, and why; the gravest first."""
    if not _usable(now):
        return "swap", _not_usable(now)[1]
    if now.position.out and now.position.booking != booking.id:
        if now.position.said_back_at:
            return "look", "said to be back, not seen yet"
        return "fetch", "not back yet"
    mine = [f for f in open_faults if f.kit and f.kit.id == now.kit.id and not f.watched]
    if mine:
        return "swap", f"fault {mine[0].number} open"
    if now.position.missing and not now.position.out:
        parts = ", ".join(f"{number} {part}" for part, number in now.position.missing)
        return "fill", f"short of {parts}"
    return (lasting or {}).get((booking.id, now.kit.id))


@look(Deed.SEE_KIT)
def kit_card(tx: Tx, who: Who, text: str) -> KitCard | Refused:
    """Return one kit as this person may see it: whose it is only for those who work with that."""
    seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
    wanted = named(text, seen.kits, {})
    if isinstance(wanted, Refused):
        return wanted
    if not wanted.kits:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return card_of(tx, who, seen, wanted.kits[0])


def card_of(tx: Tx, who: Who, seen: Picture, now: KitNow) -> KitCard:
    """Return a kit's card for this person."""
    own = people.teams_of(tx, who.club, who.person)
    is_theirs = _is_theirs(tx, who, now, own)
    may_know = may(who.role, Deed.SEE_TODAY) or is_theirs
    grace = timedelta(minutes=who.settings.grace_minutes)
    team = seen.teams.get(now.position.team) if now.position.team else None
    return KitCard(
        kit=now.ref,
        kit_type=clubs.kit_types(tx, who.club).get(now.kit.kit_type, ""),
        out=now.position.out,
        team=team if may_know else None,
        due=now.position.due,
        late=(is_theirs or may(who.role, Deed.ANSWER_LATE))
        and is_late(now.position, who.now, grace),
        said_back=now.position.said_back_at is not None,
        held=now.position.held,
        withdrawn=now.position.withdrawn,
        charged_at=now.position.charged_at,
        faults=tuple(faults.still_open(tx, who.club, now.kit.id)) if may_know else (),
        next_booking=bookings.next_start(tx, who.club, now.kit.id, who.now),
        mine=is_theirs,
        lost=now.position.lost is not None,
    )


def _is_theirs(tx: Tx, who: Who, now: KitNow, own: set[TeamId]) -> bool:
    if now.position.booking is None:
        return False
    booking = bookings.by_id(tx, who.club, [now.position.booking]).get(now.position.booking)
    booked: PersonId | None = booking.booked_by if booking else None
    return now.position.team in own or booked == who.person
