"""Bookings: what is free, book, one's own bookings, cancel.

A request is what somebody typed, as far as it goes: an answer to a question is added to the text
and all of it is read again. So a restart in mid-conversation loses nothing, and a button and a
typed answer are the same thing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Literal

from clubbot.desk import notices, requests, series, waiting
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import find_resources
from clubbot.desk.fleet import Picture, picture
from clubbot.desk.promising import Wanted, promise
from clubbot.rules.availability import Undecided, free_now
from clubbot.rules.model import Instead, Reason, Refused, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import (
    Either,
    Missing,
    Reading,
    Unreadable,
)
from clubbot.rules.reading.calling_off import calls_off
from clubbot.rules.results import (
    Booked,
    BookedWeekly,
    BookingLacks,
    BookingTwoWays,
    Cancelled,
    CancelledMany,
    CancelWhich,
    Forgot,
    FreeKits,
    LeaderAsked,
    MyBookings,
    TeamRef,
)
from clubbot.store import bookings, clubs, dialogues, people
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

OVER_AFTER = timedelta(hours=1)
"""A question that nobody answered for this long is forgotten."""

STEP = "booking"
_MOST_WORDS = 2
"""Words of an answer that is taken for the name of a team; more are something else."""
_GIVES_UP = re.compile(r"(never ?mind|no|no thanks?|stop|cancel|forget it)[.!]?", re.IGNORECASE)

Requested = Booked | BookedWeekly | BookingLacks | BookingTwoWays | Forgot | LeaderAsked | Refused


@look(Deed.SEE_FREE)
def free(tx: Tx, who: Who, text: str = "") -> FreeKits | Refused:
    """Say how many kits can still be promised in the window that the text names.

    Without one it is the session that runs now, or the next one.
    """
    reading = requests.read(tx, who, f"1 kit {text}") if text.strip() else None
    if isinstance(reading, Reading):
        return _free_in(tx, who, requests.window_of(reading))
    if isinstance(reading, Unreadable):
        return requests.not_read(reading)
    session = None
    if not isinstance(reading, Either):
        session = requests.likely_session(
            tx, who, reading if isinstance(reading, Missing) else None
        )
    if session is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "time"})
    return _free_in(tx, who, session.window)


def _free_in(tx: Tx, who: Who, window: Window) -> FreeKits:
    seen = picture(tx, who, window)
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
def request(tx: Tx, who: Who, text: str, team: TeamId | None = None) -> Requested:
    """Book what the text asks for, or ask for the one thing that it lacks."""
    return take(tx, who, text, team)


@deed(Deed.BOOK)
def go_on(tx: Tx, who: Who, more: str, team: TeamId | None = None) -> Requested:
    """Add an answer, typed or tapped, to the request that this person is making."""
    return take_answer(tx, who, more, team)


def take_answer(tx: Tx, who: Who, more: str, team: TeamId | None = None) -> Requested:
    """Read what was said so far with the answer added."""
    asking = who.asking
    since = who.now - OVER_AFTER
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, since)
    if stands is None or stands.step != STEP:
        return Refused(Reason.OUT_OF_DATE)
    if team is None and _GIVES_UP.fullmatch(more.strip()):
        dialogues.end(tx, asking.chat_id, asking.telegram_id)
        return Forgot(STEP)
    said = datetime.fromisoformat(stands.facts["said_at"])
    text = requests.with_answer(tx, who, stands.facts, more, said)
    team_known = team or stands.facts.get("team")
    answered, chosen = text or stands.facts["text"], stands.facts.get("chosen")
    result = take(tx, who, answered, team_known, said.isoformat(), chosen)
    asked_again = isinstance(result, BookingLacks) and result.ask == stands.facts.get("ask")
    if asked_again and team is None and isinstance(result, BookingLacks):
        if text and text.startswith(more):
            return result
        _ask(tx, who, stands.facts)
        return _again(result, more, text)
    return result


def _again(result: BookingLacks, more: str, text: str | None) -> BookingLacks:
    """Return a question that got no answer: with the team that isn't there, if it sounds so."""
    if text is None and more.replace(" ", "").isalpha() and len(more.split()) <= _MOST_WORDS:
        return replace(result, unknown_team=more.strip())
    return replace(result, again=not result.unknown_team)


@deed(Deed.BOOK)
def choose_reading(tx: Tx, who: Who, place: int) -> Requested:
    """Go on with one of the ways in which a request could be read."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    if stands is None or not 0 <= place < stands.facts.get("ways", 0):
        return Refused(Reason.OUT_OF_DATE)
    known = stands.facts
    return take(tx, who, known["text"], known["team"], known["said_at"], place)


def take(
    tx: Tx,
    who: Who,
    text: str,
    team: TeamId | None,
    said_at: str | None = None,
    chosen: int | None = None,
) -> Requested:
    """Book what a text asks for, or keep it with the question that it leaves open.

    `chosen` says which of several ways in which the text can be read is meant.
    """
    if calls_off(text):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "call off"})
    said = datetime.fromisoformat(said_at) if said_at else who.asking.said_at
    reading = requests.read(tx, who, text, said)
    facts: dict[str, Any] = {"text": text, "team": team, "said_at": said.isoformat()}
    if isinstance(reading, Either) and chosen is not None and chosen < len(reading.readings):
        reading = reading.readings[chosen]
        facts["chosen"] = chosen
    match reading:
        case Missing():
            lacks = requests.lacks(tx, who, reading)
            _ask(tx, who, {**facts, "ask": lacks.ask})
            return lacks
        case Either():
            _ask(tx, who, {**facts, "ways": len(reading.readings)})
            return requests.two_ways(reading)
        case Unreadable():
            return requests.not_read(reading)
        case Reading():
            return _take_whole(tx, who, reading, facts)


def _take_whole(tx: Tx, who: Who, reading: Reading, facts: Mapping[str, Any]) -> Requested:
    """Book a request that is complete but for its team, which is asked where it isn't clear."""
    every = len(kits(tx, who.club))
    if reading.count > every:
        return Refused(Reason.NONE_FREE, {"possible": every, "of": every})
    found = requests.team_for(tx, who, facts["team"], reading.team)
    if isinstance(found, BookingLacks):
        _ask(tx, who, {**facts, "ask": "team"})
        return found
    if isinstance(found, Refused):
        return found
    if reading.without and len(reading.kits) < reading.count:
        return _without(tx, who, reading, found)
    return _book(tx, who, str(facts["text"]), reading, found)


def _without(tx: Tx, who: Who, reading: Reading, team: TeamRef | None) -> Refused:
    """Offer kits by label where some are to be left out: a booking of so many can't say which."""
    window = requests.window_of(reading)
    free = [ref.label for ref in _free_in(tx, who, window).kits]
    fit = [each for each in free if each not in {*reading.without, *reading.kits}]
    named = (*reading.kits, *fit)[: reading.count]
    one = Instead(window, reading.count, named, team.id if team else None)
    instead = (one,) if len(named) == reading.count and reading.repeat is None else ()
    facts = {"wanted": "without", "labels": reading.without}
    return Refused(Reason.NOT_UNDERSTOOD, facts, instead)


def _book(tx: Tx, who: Who, text: str, reading: Reading, team: TeamRef | None) -> Requested:
    known = clubs.resources(tx, who.club)
    along, _ = find_resources(text, known)
    wanted = Wanted(requests.window_of(reading), reading.count, reading.kits, team, along)
    if reading.repeat is not None:
        result: Requested = series.book_weekly(tx, who, wanted, reading.repeat)
    else:
        booking = promise(tx, who, wanted)
        if isinstance(booking, Undecided):
            return waiting.ask_leader(tx, who, wanted, "undecided")
        if isinstance(booking, Refused):
            if booking.reason is Reason.OVER_LIMIT:
                return waiting.ask_leader(tx, who, wanted, "over-limit")
            return booking
        names = tuple((known[each][0], number) for each, number in along.items())
        result = Booked(booking, names)
    if who.in_dialogue and isinstance(result, Booked | BookedWeekly):
        dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    return result


def _ask(tx: Tx, who: Who, facts: Mapping[str, Any]) -> None:
    asking = who.asking
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)


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
def cancel(
    tx: Tx, who: Who, number: int, scope: Literal["", "one", "rest", "all"] = ""
) -> Cancelled | CancelWhich | CancelledMany | Refused:
    """Cancel a booking that isn't over: one's own, or anybody's for those who may.

    Of one that repeats it is asked first whether this one, the rest or all are meant.
    """
    booking = find_own(tx, who, number)
    if isinstance(booking, Refused):
        return booking
    seen = picture(tx, who, booking.window)
    if out := seen.out_for(booking):
        labels = tuple(seen.kits[kit].kit.label for kit in out)
        return Refused(Reason.ALREADY, {"what": "out", "labels": labels})
    meant = series.meant(tx, who, booking, scope)
    if isinstance(meant, CancelWhich):
        return meant
    gone = [each for each in meant if not picture(tx, who, each.window).out_for(each)]
    shown = [_cancelled(tx, who, seen, each) for each in gone]
    waiting.serve(tx, who)
    return Cancelled(shown[0]) if len(shown) == 1 else CancelledMany(tuple(shown))


def _cancelled(tx: Tx, who: Who, seen: Picture, booking: LiveBooking) -> Any:
    shown = seen.shown(booking)
    bookings.cancel(tx, who.club, booking.id, who.now)
    notices.tell_of_cancelling(tx, who, shown)
    return shown


def find_own(tx: Tx, who: Who, number: int) -> LiveBooking | Refused:
    """Return a booking that isn't over, if this person may change it; a keep is a leader's."""
    booking = bookings.by_number(tx, who.club, number)
    if booking is None or booking.window.end <= who.now or booking.kind == "offer":
        return Refused(Reason.UNKNOWN_BOOKING, {"number": number})
    own = people.teams_of(tx, who.club, who.person)
    is_own = booking.booked_by == who.person or booking.team in own
    if not is_own and not may(who.role, Deed.CANCEL_ANY):
        return Refused(Reason.OTHERS, {"number": number})
    if booking.kind == "keep" and not may(who.role, Deed.KEEP):
        return Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.KEEP)})
    return booking
