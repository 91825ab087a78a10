"""A team needs its kits longer: inside supervised hours it may, else a leader decides."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import find_team, named
from clubbot.desk.fleet import Picture, assign, picture
from clubbot.rules.availability import Possible, decide
from clubbot.rules.late import attended_until, due_on_open_day, extensions
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import BookingId, KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import read_labels
from clubbot.rules.results import (
    LongerAsked,
    LongerGiven,
    LongerOffered,
    LongerRefused,
    LongerTold,
    LongerWanted,
    TeamRef,
)
from clubbot.store import bookings, clubs, people
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NoticeRow

_TIME = re.compile(r"\b(?:(?:until|to|till)\s+)?(\d{1,2})[:.](\d{2})\b", re.IGNORECASE)
Answer = LongerOffered | LongerGiven | LongerAsked | Refused


@deed(Deed.NEED_LONGER)
def longer(tx: Tx, who: Who, text: str) -> Answer:
    """Say that kits are needed longer ("D", "Red 17:30", "17:30", or of one's own kits nothing)."""
    said = _TIME.search(text)
    known = kits(tx, who.club)
    wanted = named(_TIME.sub("", text).strip(), known, clubs.teams(tx, who.club))
    if isinstance(wanted, Refused):
        return wanted
    return _wanted(tx, who, [now.kit.id for now in wanted.kits], wanted.team, said)


def heard(tx: Tx, who: Who, text: str) -> Answer | None:
    """Take a sentence such as "Red needs D a bit longer"; None where nothing of it is out."""
    known = kits(tx, who.club)
    team, rest = find_team(text, clubs.teams(tx, who.club))
    found, _ = read_labels(rest, [now.kit.label for now in known.values()])
    chosen = [kit for kit, now in known.items() if now.kit.label in found]
    answer = _wanted(tx, who, chosen, team, _TIME.search(text))
    nothing = isinstance(answer, Refused) and answer.reason is Reason.NOT_OUT
    return None if nothing and not chosen else answer


def _wanted(
    tx: Tx, who: Who, chosen: Sequence[KitId], team: TeamRef | None, said: re.Match[str] | None
) -> Answer:
    """Take the word that kits are needed longer: without a time, offer what can be had."""
    known = kits(tx, who.club)
    own = people.teams_of(tx, who.club, who.person) if team is None else {team.id}
    out = [
        now.position.booking
        for kit, now in known.items()
        if now.position.out and (kit in chosen if chosen else now.position.team in own)
    ]
    if len(set(out)) != 1 or out[0] is None:
        if out:
            return Refused(Reason.UNKNOWN_KIT, {"word": ""})
        return _not_out(tuple(known[kit].kit.label for kit in chosen))
    booking = _of(tx, who, out[0])
    if isinstance(booking, Refused):
        return booking
    if said is None:
        return _offered(tx, who, booking)
    hour, minute = int(said[1]), int(said[2])
    if hour > 23 or minute > 59:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "time"})
    local = datetime.combine(who.now.astimezone(who.zone).date(), time(hour, minute), who.zone)
    return _until(tx, who, booking, local.astimezone(UTC))


def _not_out(labels: tuple[str, ...]) -> Refused:
    return Refused(Reason.NOT_OUT, {"labels": labels})


def _of(tx: Tx, who: Who, number: BookingId) -> LiveBooking | Refused:
    """Return a booking that this person may speak for."""
    booking = bookings.by_id(tx, who.club, [number]).get(number)
    if booking is None:
        return Refused(Reason.OUT_OF_DATE)
    own = people.teams_of(tx, who.club, who.person)
    if may(who.role, Deed.ACT_FOR_TEAM) or booking.team in own or booking.booked_by == who.person:
        return booking
    return Refused(Reason.OTHERS, {"number": booking.number})


@deed(Deed.NEED_LONGER)
def need_longer(tx: Tx, who: Who, number: BookingId) -> Answer:
    """Offer how much longer a booking may have its kits."""
    booking = _of(tx, who, number)
    return booking if isinstance(booking, Refused) else _offered(tx, who, booking)


def _offered(tx: Tx, who: Who, booking: LiveBooking) -> Answer:
    seen = picture(tx, who, booking.window)
    shown = seen.shown(booking)
    if not shown.out:
        return _not_out(tuple(ref.label for ref in shown.kits))
    ends = open_ends(tx, who, booking)
    alone = extensions(max(booking.window.end, who.now))
    asked = () if ends else tuple(e for e in alone[1:2] if _decided(tx, who, booking, e)[1])
    return LongerOffered(booking.id, shown.out, shown.team, booking.window.end, ends, asked)


def open_ends(tx: Tx, who: Who, booking: LiveBooking) -> tuple[datetime, ...]:
    """Return until when a booking may have its kits without asking a leader, the soonest first."""
    start = max(booking.window.end, who.now)
    calendar = picture(tx, who, booking.window).calendar
    ends = [
        end for end in extensions(start) if who.role.adult or attended_until(start, end, calendar)
    ]
    return tuple(end for end in ends if _decided(tx, who, booking, end)[1])


@deed(Deed.NEED_LONGER)
def longer_until(tx: Tx, who: Who, number: BookingId, end: datetime) -> Answer:
    """Let a booking have its kits until then, if it may; else a leader is asked."""
    booking = _of(tx, who, number)
    return booking if isinstance(booking, Refused) else _until(tx, who, booking, end)


def _until(tx: Tx, who: Who, booking: LiveBooking, end: datetime) -> Answer:
    seen = picture(tx, who, booking.window)
    if end <= max(booking.window.end, who.now):
        return Refused(Reason.PAST)
    if who.role.adult or attended_until(max(booking.window.end, who.now), end, seen.calendar):
        return _give(tx, who, booking, end)
    if _decided(tx, who, booking, end)[1] is None:
        return _taken(seen, booking, who, end)
    notices.tell(
        tx,
        who,
        notices.adults(tx, who),
        notices.LONGER,
        f"booking {booking.id}",
        {"end": end.isoformat()},
    )
    shown = seen.shown(booking)
    return LongerAsked(shown.out, end)


@deed(Deed.DECIDE)
def longer_yes(tx: Tx, who: Who, number: BookingId, end: datetime) -> LongerGiven | Refused:
    """Decide that a team may have its kits longer, though no adult is noted as there."""
    booking = bookings.by_id(tx, who.club, [number]).get(number)
    if booking is None or end <= max(booking.window.end, who.now):
        return Refused(Reason.OUT_OF_DATE)
    given = _give(tx, who, booking, end)
    if isinstance(given, LongerGiven):
        _tell(tx, who, number, end, yes=True)
    return given


@deed(Deed.DECIDE)
def longer_no(tx: Tx, who: Who, number: BookingId, end: datetime) -> LongerRefused | Refused:
    """Decide that a team brings its kits back when they are due."""
    booking = bookings.by_id(tx, who.club, [number]).get(number)
    if booking is None or end <= booking.window.end:
        return Refused(Reason.OUT_OF_DATE)
    _tell(tx, who, number, end, yes=False)
    shown = picture(tx, who, booking.window).shown(booking)
    return LongerRefused(shown.out, shown.team, booking.window.end)


def _tell(tx: Tx, who: Who, number: BookingId, end: datetime, *, yes: bool) -> None:
    (booking,) = bookings.by_id(tx, who.club, [number]).values()
    shown = picture(tx, who, booking.window).shown(booking)
    facts = {"end": end.isoformat(), "yes": yes}
    subject = f"booking {number}"
    notices.tell(tx, who, notices.concerned(tx, who, shown), notices.LONGER_SAID, subject, facts)


# -- what may be, and what follows ----------------------------------------------------------------


def _decided(
    tx: Tx, who: Who, booking: LiveBooking, end: datetime
) -> tuple[Picture, Possible | None]:
    """Return what can be promised if a booking keeps its kits until then; None where it can't."""
    seen = picture(tx, who, Window(booking.window.start, end))
    out = seen.out_for(booking)
    free = tuple(replace(kit, blocked=()) if kit.id in out else kit for kit in seen.fleet.kits)
    demand = replace(
        seen.demand(booking),
        window=Window(min(booking.window.start, who.now), end),
        fixed=out,
        count=len(out),
        firm=True,
    )
    others = [each for each in seen.demands if each.booking != booking.id]
    answer = decide(replace(seen.fleet, kits=free), others, demand) if out else None
    return seen, answer if isinstance(answer, Possible) else None


def _taken(seen: Picture, booking: LiveBooking, who: Who, end: datetime) -> Refused:
    labels = tuple(ref.label for ref in seen.shown(booking).out)
    window = Window(max(booking.window.end, who.now), end)
    return Refused(Reason.KIT_TAKEN, {"labels": labels, "window": window})


def _give(tx: Tx, who: Who, booking: LiveBooking, end: datetime) -> LongerGiven | Refused:
    seen, answer = _decided(tx, who, booking, end)
    if answer is None:
        return _taken(seen, booking, who, end)
    others = {b: chosen for b, chosen in answer.assignment.items() if b != booking.id}
    swaps = assign(tx, who, seen, others)
    bookings.prolong(tx, who.club, booking.id, end)
    due = due_on_open_day(end, seen.calendar)
    detail = Detail(team=booking.team, booking=booking.id, due=due)
    out = seen.out_for(booking)
    who.append(tx, [Draft(EntryKind.EXTENDED, kit=kit, detail=detail) for kit in out])
    shown = seen.shown(booking)
    return LongerGiven(shown.out, shown.team, due, swaps)


# -- what notices say -----------------------------------------------------------------------------


def asked(tx: Tx, who: Who, row: NoticeRow) -> LongerWanted | None:
    """Return the question to the adults, while it is one."""
    number = BookingId(int(row.subject.rpartition(" ")[2]))
    booking = bookings.by_id(tx, who.club, [number]).get(number)
    end = datetime.fromisoformat(row.facts["end"])
    if booking is None or end <= max(booking.window.end, who.now):
        return None
    shown = picture(tx, who, booking.window).shown(booking)
    if not shown.out:
        return None
    return LongerWanted(booking.id, shown.out, shown.team, booking.window.end, end)


def said(tx: Tx, who: Who, row: NoticeRow) -> LongerTold | None:
    """Return a leader's answer, while the kits are out."""
    number = BookingId(int(row.subject.rpartition(" ")[2]))
    refs = [n.ref for n in kits(tx, who.club).values() if n.position.booking == number]
    end = datetime.fromisoformat(row.facts["end"])
    return LongerTold(tuple(refs), end, bool(row.facts["yes"])) if refs else None
