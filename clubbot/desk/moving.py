"""A session held at another time: its bookings go along where an assignment of kits exists.

Decided all at once and exactly; what can't go along stands as it did, and the leader is shown what
would be possible.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from clubbot.desk import group, notices, waiting
from clubbot.desk.acting import Who, deed
from clubbot.desk.along import Outcome, bring, decided, settle, wanted_then
from clubbot.desk.fleet import picture
from clubbot.rules.availability import Possible
from clubbot.rules.calendar import DAY, ClubCalendar, Move, Session
from clubbot.rules.model import BookingId, Reason, Refused, Window
from clubbot.rules.moving import MoveText, belongs, clash, in_place_of, read_move
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Changed,
    NotAlong,
    SessionElsewhen,
    SessionMoved,
)
from clubbot.store import bookings, clubs, sessions, wishes
from clubbot.store.engine import Tx
from clubbot.store.notices import NoticeRow

_WHY = re.compile(r":\s+(\D.*)$", re.DOTALL)


@deed(Deed.SET_UP)
def move_session(tx: Tx, who: Who, text: str) -> SessionMoved | Refused:
    """Hold one session at another time ("thursday to friday 16:00-17:30: the hall is let").

    Its bookings go along with their numbers where they can have their kits then, and keep the
    labels wherever that can be; people are told what changed and why.
    """
    why = _WHY.search(text)
    line = text[: why.start()] if why else text
    calendar = clubs.calendar(tx, who.club, who.zone)
    wanted = read_move(line, who.now, calendar)
    if wanted is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "move"})
    if wanted == "past":
        return Refused(Reason.PAST)
    return _move(tx, who, calendar, wanted, why[1].strip()[:80] if why else "")


@deed(Deed.SET_UP)
def move_back(tx: Tx, who: Who, day: str, at: str) -> SessionMoved | Refused:
    """Hold a session again when it was before it was moved: at the usual time of that day."""
    try:
        which = (date.fromisoformat(day), time.fromisoformat(at))
    except ValueError:
        return Refused(Reason.OUT_OF_DATE)
    calendar = clubs.calendar(tx, who.club, who.zone)
    moved = next((each for each in calendar.moves if (each.day, each.at) == which), None)
    usual = next((each for each in calendar.usual(which[0]) if each.moved == moved), None)
    if moved is None or usual is None:
        return Refused(Reason.OUT_OF_DATE)
    now = next(s for s in _all(calendar, moved.to_day) if s.moved == moved)
    ends = usual.window.end.astimezone(who.zone).time()
    return _move(tx, who, calendar, MoveText(now, moved.day, moved.at, ends), "")


def _all(calendar: ClubCalendar, day: date) -> list[Session]:
    return replace(calendar, closures=()).sessions(day, day)


def _move(
    tx: Tx, who: Who, calendar: ClubCalendar, wanted: MoveText, why: str
) -> SessionMoved | Refused:
    session, before = wanted.session, wanted.session.window
    ends = calendar.instant(wanted.day, wanted.ends)
    starts = calendar.instant(wanted.day, wanted.starts)
    if ends <= starts:
        return Refused(Reason.END_BEFORE_START)
    after = Window(starts, ends)
    if refused := _against_the_calendar(who, calendar, session, wanted.day, after):
        return refused
    mine = [
        each
        for each in bookings.between(tx, who.club, before)
        if each.kind == "use" and belongs(each.window, session, calendar)
    ]
    own = session.moved
    origin = own or Move(session.day, before.start.astimezone(who.zone).time(), *_NOWHERE)
    to = replace(origin, to_day=wanted.day, starts=wanted.starts, ends=wanted.ends)
    back = _write(tx, who, calendar, to)
    _wishes_along(tx, who, session, after, calendar)
    outcome = bring(tx, who, mine, before, after)
    facts = {"name": session.name, "why": why, "before": _plain(before), "after": _plain(after)}
    told = _tell(tx, who, outcome, facts)
    waiting.serve(tx, who)
    group.session_moved(tx, who, before, after)
    return SessionMoved(session.name, before, after, why, outcome.along, outcome.left, told, back)


_NOWHERE = (date.min, time.min, time.max)


def _against_the_calendar(
    who: Who, calendar: ClubCalendar, session: Session, day: date, after: Window
) -> Refused | None:
    if session.window.start <= who.now or after.start <= who.now:
        return Refused(Reason.PAST)
    if closure := calendar.closed(day):
        return Refused(Reason.CLOSED, {"why": closure.why, "day": day})
    if after == session.window:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "move"})
    if there := clash(after, session, calendar.sessions(day - DAY, day + DAY)):
        return Refused(Reason.SESSION_THERE, {"window": there.window})
    return None


def _write(tx: Tx, who: Who, calendar: ClubCalendar, to: Move) -> str:
    """Write when a session is held; return what names it for moving it back, if it is away."""
    usual = next(
        (
            each
            for each in calendar.usual(to.day)
            if each.window.start == calendar.instant(to.day, to.at)
        ),
        None,
    )
    there = Window(calendar.instant(to.to_day, to.starts), calendar.instant(to.to_day, to.ends))
    if usual is not None and usual.window == there:
        sessions.stay(tx, who.club, to)
        return ""
    sessions.move(tx, who.club, to)
    return f"{to.day}:{to.at:%H%M}"


def _wishes_along(
    tx: Tx, who: Who, session: Session, after: Window, calendar: ClubCalendar
) -> None:
    """Let those who wait for a place at this session wait for it at its new time."""
    for state in ("waiting", "asked", "offered"):
        for wish in wishes.standing(tx, who.club, state):
            window = in_place_of(wish.window, session.window, after)
            if window is None or not belongs(wish.window, session, calendar):
                continue
            sessions.wish_along(tx, who.club, wish.id, window)
            if state == "offered" and wish.booking is not None:
                bookings.cancel(tx, who.club, wish.booking, who.now)
                wishes.settle(tx, who.club, wish.id, "waiting")


def _tell(tx: Tx, who: Who, outcome: Outcome, facts: Mapping[str, Any]) -> int:
    told = 0
    for view in outcome.along:
        people = notices.concerned(tx, who, view)
        told += notices.tell(tx, who, people, notices.MOVED, f"booking {view.id}", facts)
    for left in outcome.left:
        people = notices.concerned(tx, who, left.booking)
        more = {**facts, "possible": left.possible}
        told += notices.tell(tx, who, people, notices.LEFT, f"booking {left.booking.id}", more)
    notices.tell_adults(tx, who, notices.MOVED, "session", facts)
    return told


def _plain(window: Window) -> list[str]:
    return [window.start.isoformat(), window.end.isoformat()]


def _window(spelled: Sequence[str]) -> Window:
    return Window(datetime.fromisoformat(spelled[0]), datetime.fromisoformat(spelled[1]))


@deed(Deed.SET_UP)
def bring_along(tx: Tx, who: Who, number: int, count: int) -> Changed | Refused:
    """Let a booking that was left behind have so many kits, any, at its session's new time."""
    booking = bookings.by_number(tx, who.club, number)
    if booking is None or booking.window.start <= who.now or booking.kind != "use":
        return Refused(Reason.UNKNOWN_BOOKING, {"number": number})
    found = _gone_session(clubs.calendar(tx, who.club, who.zone), booking.window)
    if found is None or not 0 < count <= booking.count:
        return Refused(Reason.OUT_OF_DATE)
    before, after = found
    window = in_place_of(booking.window, before, after)
    if window is None or after.start <= who.now:
        return Refused(Reason.OUT_OF_DATE)
    seen = picture(tx, who, after)
    if seen.out_for(booking):
        labels = tuple(ref.label for ref in seen.shown(booking).out)
        return Refused(Reason.ALREADY, {"what": "out", "labels": labels})
    less = replace(booking, count=count)
    others = tuple(each for each in seen.bookings if each.id != booking.id)
    demands = replace(seen, bookings=others).demands
    for named in (True, False):
        demand = wanted_then(seen, less, window, named=named)
        answer = decided(seen, demands, demand, less)
        if isinstance(answer, Possible):
            outcome = Outcome({booking.id: window}, dict(answer.assignment))
            settle(tx, who, seen, [less], outcome)
            return _brought(tx, who, booking.id, before, after)
    return Refused(Reason.NONE_FREE, {"possible": 0, "count": count, "window": window})


def _gone_session(calendar: ClubCalendar, window: Window) -> tuple[Window, Window] | None:
    """Return when the session of a window would be, and when it is held instead."""
    for usual in calendar.usual(calendar.day_of(window.start)):
        if usual.moved is not None and usual.window.overlaps(window):
            held = _all(calendar, usual.moved.to_day)
            return next(((usual.window, s.window) for s in held if s.moved == usual.moved), None)
    return None


def _brought(tx: Tx, who: Who, number: BookingId, before: Window, after: Window) -> Changed:
    found = bookings.by_id(tx, who.club, [number])[number]
    view = picture(tx, who, after).shown(found)
    facts = {"name": "", "why": "", "before": _plain(before), "after": _plain(after)}
    people = notices.concerned(tx, who, view)
    notices.tell(tx, who, people, notices.MOVED, f"booking {number}", facts)
    waiting.serve(tx, who)
    return Changed((view,), ())


def owed(tx: Tx, who: Who, row: NoticeRow) -> SessionElsewhen | NotAlong | None:
    """Read again what a notice about a moved session is to say."""
    facts = row.facts
    before, after = _window(facts["before"]), _window(facts["after"])
    name, why = str(facts["name"]), str(facts["why"])
    if row.subject == "session":
        return SessionElsewhen(name, before, after, why)
    number = BookingId(int(row.subject.rpartition(" ")[2]))
    booking = bookings.by_id(tx, who.club, [number]).get(number)
    if booking is None:
        return None
    shown = picture(tx, who, booking.window).shown(booking)
    if row.kind == notices.LEFT:
        possible = int(facts["possible"])
        return NotAlong(shown, after, possible, why) if booking.window.overlaps(before) else None
    return SessionElsewhen(name, before, after, why, shown)
