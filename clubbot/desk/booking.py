"""Bookings: what is free, book, one's own bookings, cancel.

A request is what somebody typed, as far as it goes: an answer to a question is added to the text
and all of it is read again. So a restart in mid-conversation loses nothing, and a button and a
typed answer are the same thing.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.fleet import NEW, Picture, assign, picture
from clubbot.rules.availability import (
    Answer,
    Demand,
    Impossible,
    Limit,
    Possible,
    decide,
    free_now,
)
from clubbot.rules.calendar import DAY, Session
from clubbot.rules.model import KitId, KitTypeId, Reason, Refused, Role, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import Either, MeetingTime, Missing, Reading, Unreadable, read_booking
from clubbot.rules.results import (
    Booked,
    BookingLacks,
    BookingTwoWays,
    BookingView,
    Cancelled,
    FreeKits,
    MyBookings,
    ReadAs,
    SessionRef,
    TeamRef,
)
from clubbot.store import bookings, clubs, dialogues, people
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

OVER_AFTER = timedelta(hours=1)
"""A question that nobody answered for this long is forgotten."""

STEP = "booking"


@look(Deed.SEE_FREE)
def free(tx: Tx, who: Who, text: str = "") -> FreeKits | BookingLacks | BookingTwoWays | Refused:
    """Say how many kits can still be promised in the window that the text names.

    Without one it is the session that runs now, or the next one.
    """
    reading = read(tx, who, f"1 kit {text}" if text.strip() else "")
    window: Window
    if isinstance(reading, Reading):
        window = _window(reading)
    elif text.strip() and not isinstance(reading, Missing):
        return _notread(reading)
    else:
        session = _likely_session(tx, who, reading if isinstance(reading, Missing) else None)
        if session is None:
            return BookingLacks("day")
        window = session.window
    return _free_in(picture(tx, who, window), window)


def _free_in(seen: Picture, window: Window) -> FreeKits:
    found = free_now(seen.fleet, seen.demands, window)
    closure = seen.calendar.closed(seen.calendar.day_of(window.start))
    return FreeKits(
        window=window,
        count=sum(found.counts.values()),
        of=len(seen.kits),
        kits=tuple(seen.kits[kit].ref for kit in seen.kits if kit in found.kits),
        closed=closure.why if closure else None,
    )


@deed(Deed.BOOK)
def request(tx: Tx, who: Who, text: str) -> Booked | BookingLacks | BookingTwoWays | Refused:
    """Book what the text asks for, or ask for the one thing that it lacks."""
    return take(tx, who, text, None)


@deed(Deed.BOOK)
def go_on(
    tx: Tx, who: Who, more: str, team: TeamId | None = None
) -> Booked | BookingLacks | BookingTwoWays | Refused:
    """Add an answer, typed or tapped, to the request that this person is making."""
    return take_answer(tx, who, more, team)


def take_answer(
    tx: Tx, who: Who, more: str, team: TeamId | None = None
) -> Booked | BookingLacks | BookingTwoWays | Refused:
    """Read what was said so far with the answer added."""
    asking = who.asking
    since = who.now - OVER_AFTER
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, since)
    if stands is None or stands.step != STEP:
        return Refused(Reason.OUT_OF_DATE)
    earlier = stands.facts.get("team")
    if more.isdecimal() and stands.facts.get("ask") == "count":
        more = f"{more} kits"
    text = f"{stands.facts['text']} {more}".strip()
    return take(tx, who, text, team or earlier, said_at=stands.facts.get("said_at"))


@deed(Deed.BOOK)
def choose_reading(
    tx: Tx, who: Who, place: int
) -> Booked | BookingLacks | BookingTwoWays | Refused:
    """Go on with one of the ways in which a request could be read."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    readings = stands.facts.get("readings", ()) if stands else ()
    if stands is None or place >= len(readings):
        return Refused(Reason.OUT_OF_DATE)
    return take(tx, who, readings[place], stands.facts.get("team"))


def take(
    tx: Tx, who: Who, text: str, team: TeamId | None, said_at: str | None = None
) -> Booked | BookingLacks | BookingTwoWays | Refused:
    said = datetime.fromisoformat(said_at) if said_at else who.asking.said_at
    reading = read(tx, who, text, said)
    facts: dict[str, Any] = {"text": text, "team": team, "said_at": said.isoformat()}
    match reading:
        case Missing():
            lacks = _lacks(tx, who, reading)
            _ask(tx, who, {**facts, "ask": lacks.ask})
            return lacks
        case Either():
            named = reading.readings[0].team
            _ask(tx, who, {**facts, "readings": [_spelled(r, named) for r in reading.readings]})
            return BookingTwoWays(
                tuple(ReadAs(_window(each), each.count, each.kits) for each in reading.readings)
            )
        case Unreadable():
            return _notread(reading)
        case Reading():
            found = _team(tx, who, team, reading.team)
            if isinstance(found, BookingLacks):
                _ask(tx, who, {**facts, "ask": "team"})
                return found
            if isinstance(found, Refused):
                return found
            result = _book(tx, who, reading, found)
            if isinstance(result, Booked):
                dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
            return result


def _ask(tx: Tx, who: Who, facts: Mapping[str, Any]) -> None:
    asking = who.asking
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)


def read(
    tx: Tx, who: Who, text: str, said_at: datetime | None = None
) -> Reading | Missing | Either | Unreadable:
    calendar = clubs.calendar(tx, who.club, who.zone)
    return read_booking(
        text,
        (said_at or who.asking.said_at).astimezone(who.zone),
        [now.kit.label for now in kits(tx, who.club).values()],
        meetings=[
            MeetingTime(each.weekday, each.starts, each.ends, each.name)
            for each in calendar.meetings
        ],
        longest=timedelta(days=who.settings.longest_days),
    )


def _window(reading: Reading) -> Window:
    return Window(reading.start.astimezone(UTC), reading.end.astimezone(UTC))


def _spelled(reading: Reading, team: str | None) -> str:
    what = " and ".join(f"kit {label}" for label in reading.kits) or f"{reading.count} kits"
    whose = f" for {team}" if team else ""
    return f"{what}{whose} {reading.start:%Y-%m-%d %H:%M} to {reading.end:%Y-%m-%d %H:%M}"


_ERRORS = {
    "unknown-kit": Reason.UNKNOWN_KIT,
    "zero": Reason.ZERO,
    "end-before-start": Reason.END_BEFORE_START,
    "too-long": Reason.TOO_LONG,
    "past": Reason.PAST,
}


def _notread(reading: Either | Unreadable) -> BookingTwoWays | Refused:
    if isinstance(reading, Either):
        return BookingTwoWays(
            tuple(ReadAs(_window(each), each.count, each.kits) for each in reading.readings)
        )
    return Refused(_ERRORS[reading.error], {"word": reading.word})


def _lacks(tx: Tx, who: Who, reading: Missing) -> BookingLacks:
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    first = reading.day or today
    last = reading.day or today + 21 * DAY
    coming = [
        SessionRef(each.day, each.name, each.window)
        for each in calendar.sessions(first, last)
        if each.window.end > who.now
    ]
    start = None
    if reading.day and reading.start:
        start = calendar.instant(reading.day, reading.start)
    return BookingLacks(
        ask=reading.ask[0],
        sessions=tuple(coming[:4]),
        most=len(kits(tx, who.club)),
        start=start,
    )


def _likely_session(tx: Tx, who: Who, reading: Missing | None) -> Session | None:
    calendar = clubs.calendar(tx, who.club, who.zone)
    first = (reading.day if reading else None) or calendar.day_of(who.now)
    for session in calendar.sessions(first, first + 28 * DAY):
        if session.window.end > who.now:
            return session
    return None


def _team(
    tx: Tx, who: Who, known: TeamId | None, named: str | None
) -> TeamRef | BookingLacks | Refused | None:
    """Say which team a booking is for: one named, one's own, or the one question left."""
    teams = clubs.teams(tx, who.club)
    own = people.teams_of(tx, who.club, who.person)
    for_any = may(who.role, Deed.ACT_FOR_TEAM)
    mine = {number: ref for number, ref in teams.items() if for_any or number in own}
    if known is not None:
        return mine[known] if known in mine else Refused(Reason.UNKNOWN_TEAM)
    if named:
        wanted = named.casefold()
        for ref in mine.values():
            if ref.name.casefold() == wanted:
                return ref
    if not teams or (not mine and who.role is Role.STUDENT):
        return None
    if len(own) == 1 and not named:
        return teams[next(iter(own))]
    return BookingLacks("team", teams=tuple(mine.values()), unknown_team=named or "")


def _book(tx: Tx, who: Who, reading: Reading, team: TeamRef | None) -> Booked | Refused:
    window = _window(reading)
    seen = picture(tx, who, window)
    if refused := _against_the_rules(who, seen, window, reading.count):
        return refused
    by_label = {now.kit.label: kit for kit, now in seen.kits.items()}
    named = frozenset(by_label[label] for label in reading.kits)
    wanted = Demand(
        booking=NEW,
        window=window,
        kit_type=_kit_type(seen),
        count=reading.count,
        group=team.id if team else None,
        fixed=tuple(named),
        usual=bookings.last_kits(tx, who.club, team.id, window.start) if team else (),
    )
    answer = decide(seen.fleet, seen.demands, wanted)
    if not isinstance(answer, Possible):
        return _no(seen, window, reading.count, answer)
    return Booked(_write(tx, who, seen, wanted, answer, named))


def _write(
    tx: Tx, who: Who, seen: Picture, wanted: Demand, answer: Possible, named: frozenset[KitId]
) -> BookingView:
    booking = bookings.add(
        tx,
        who.club,
        team=wanted.group,
        kit_type=wanted.kit_type,
        count=wanted.count,
        window=wanted.window,
        booked_by=who.person,
        now=who.now,
    )
    chosen = answer.assignment[NEW]
    told_at = who.now if named else None
    bookings.choose(tx, who.club, booking, chosen, named, told_at)
    assign(tx, who, seen, answer.assignment)
    made = bookings.by_id(tx, who.club, [booking])[booking]
    return seen.shown(made)


def _kit_type(seen: Picture) -> KitTypeId:
    """Return the type that most kits are of: what "a kit" means in this club."""
    types = [now.kit.kit_type for now in seen.kits.values()]
    return max(types, key=lambda each: (types.count(each), -each))


def _against_the_rules(who: Who, seen: Picture, window: Window, count: int) -> Refused | None:
    """Return the club's own rule that a request breaks; adults may go beyond all but the first."""
    if not seen.kits:
        return Refused(Reason.NONE_FREE, {"possible": 0, "of": 0})
    if count > len(seen.kits):
        return Refused(Reason.NONE_FREE, {"possible": len(seen.kits), "of": len(seen.kits)})
    if window.end <= who.now:
        return Refused(Reason.PAST)
    closure = seen.calendar.closed(seen.calendar.day_of(window.start))
    if closure:
        return Refused(Reason.CLOSED, {"why": closure.why, "day": closure.first_day})
    if who.role.adult:
        return None
    if window.start > who.now + timedelta(days=who.settings.ahead_days):
        return Refused(Reason.TOO_FAR, {"days": who.settings.ahead_days})
    if not seen.calendar.supervised(window):
        return Refused(Reason.OUTSIDE_HOURS)
    limit = who.settings.team_limit
    if limit is not None and count > limit:
        return Refused(Reason.OVER_LIMIT, {"limit": limit})
    return None


def _no(seen: Picture, window: Window, count: int, answer: Answer) -> Refused:
    if isinstance(answer, Impossible) and answer.limit is Limit.NAMED:
        labels = tuple(seen.kits[kit].kit.label for kit in answer.kits)
        return Refused(Reason.KIT_TAKEN, {"labels": labels, "window": window})
    possible = answer.possible if isinstance(answer, Impossible) else 0
    facts = {"possible": possible, "count": count, "window": window}
    return Refused(Reason.NONE_FREE, facts, _other_sessions(seen, window))


def _other_sessions(seen: Picture, window: Window) -> tuple[Window, ...]:
    day = seen.calendar.day_of(window.start)
    later = seen.calendar.sessions(day, day + 14 * DAY)
    return tuple(each.window for each in later if each.window.start >= window.end)[:2]


@look(Deed.SEE_OWN)
def mine(tx: Tx, who: Who) -> MyBookings:
    """Return the bookings to come that this person made, or that their teams have."""
    own = people.teams_of(tx, who.club, who.person)
    found = bookings.of_person(tx, who.club, who.person, own, who.now)
    if not found:
        return MyBookings(())
    seen = picture(tx, who, found[0].window)
    return MyBookings(tuple(seen.shown(booking) for booking in found))


@deed(Deed.CANCEL_OWN)
def cancel(tx: Tx, who: Who, number: int) -> Cancelled | Refused:
    """Cancel a booking that isn't over: one's own, or anybody's for those who may."""
    booking = bookings.by_number(tx, who.club, number)
    if booking is None or booking.window.end <= who.now:
        return Refused(Reason.UNKNOWN_BOOKING, {"number": number})
    own = people.teams_of(tx, who.club, who.person)
    is_own = booking.booked_by == who.person or booking.team in own
    if not is_own and not may(who.role, Deed.CANCEL_ANY):
        return Refused(Reason.OTHERS, {"number": number})
    seen = picture(tx, who, booking.window)
    shown = seen.shown(booking)
    if shown.out:
        labels = tuple(ref.label for ref in shown.out)
        return Refused(Reason.ALREADY, {"what": "out", "labels": labels})
    bookings.cancel(tx, who.club, booking.id, who.now)
    notices.tell_of_cancelling(tx, who, shown)
    return Cancelled(shown)
