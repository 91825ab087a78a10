"""The school's calendar: its address, what was taken from it; and the bookings as a calendar file.

A feed closes days, but cancels nothing: bookings on days that it closes are for a person to decide.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.club import put_off
from clubbot.desk.fleet import Picture, picture
from clubbot.rules.calendar import DAY
from clubbot.rules.feeds import FeedDay, Trouble, calendar_file, read_address
from clubbot.rules.model import NoticeId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    BookingView,
    CalendarFile,
    FeedAsked,
    FeedBookingsKept,
    FeedBookingsOff,
    FeedBroken,
    FeedNews,
    FeedOff,
    FeedView,
)
from clubbot.store import bookings, clubs, feeds, people
from clubbot.store import notices as rows
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.feeds import FeedRow, State
from clubbot.store.notices import NoticeRow

EVERY = timedelta(hours=6)
"""How often a calendar is fetched."""
NEWS, TROUBLE = "news", "trouble"
"""What a notice about the feed is about."""
ASKED_FOR = 60 * DAY
"""How long the question about bookings on closed days can be answered."""
FAR = 800 * DAY
_OFF = ("off", "stop", "none", "remove")


@look(Deed.SET_UP)
def shown(tx: Tx, who: Who) -> FeedView:
    """Return the school's calendar as it stands."""
    return _view(tx, who)


def _view(tx: Tx, who: Who) -> FeedView:
    stands = feeds.feed(tx, who.club)
    if stands is None:
        return FeedView(None)
    today = who.now.astimezone(who.zone).date()
    every = [each for each in feeds.entries(tx, who.club) if each.day.last_day >= today]
    alive = feeds.standing(tx, who.club)

    def of(state: State) -> tuple[FeedDay, ...]:
        found = (each for each in every if each.state == state)
        return tuple(each.day for each in found if state != "taken" or each.day.key in alive)

    opened = (e.day for e in every if e.state == "taken" and e.day.key not in alive)
    return FeedView(
        host=host_of(stands),
        read_at=stands.read_at if stands.trouble else last_try(stands),
        trouble=stands.trouble,
        taken=of("taken"),
        unsure=of("unsure"),
        dropped=(*of("dropped"), *opened),
    )


def host_of(stands: FeedRow) -> str:
    """Return the part of an address that may be shown."""
    found = read_address(stands.url)
    return found.host if found else ""


def last_try(stands: FeedRow) -> datetime | None:
    """Return when the calendar was last heard of, if it ever was."""
    return stands.next_at - EVERY if stands.read_at else None


@deed(Deed.SET_UP)
def change(tx: Tx, who: Who, text: str) -> FeedAsked | FeedOff | Refused:
    """Set the calendar's address, to be fetched at once, or ("off") read it no more."""
    if text.strip().lower() in _OFF:
        return FeedOff(feeds.remove(tx, who.club, who.now.astimezone(who.zone).date()))
    found = read_address(text)
    if found is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "calendar"})
    feeds.put(tx, who.club, found.url, who.person, who.now)
    return FeedAsked(found.host)


@deed(Deed.SET_UP)
def drop(tx: Tx, who: Who, key: str) -> FeedView | Refused:
    """Say that days are no closure, whatever the school's calendar says."""
    return _judge(tx, who, key, "dropped")


@deed(Deed.SET_UP)
def take(tx: Tx, who: Who, key: str) -> FeedView | Refused:
    """Take days for a closure that the calendar leaves open, or that were dropped.

    Where bookings start on them, this person is asked what becomes of those.
    """
    return _judge(tx, who, key, "taken")


def _judge(tx: Tx, who: Who, key: str, state: State) -> FeedView | Refused:
    day = next((e.day for e in feeds.entries(tx, who.club) if e.day.key == key), None)
    if day is None:
        return Refused(Reason.OUT_OF_DATE)
    feeds.judge(tx, who.club, day, state)
    if state == "taken":
        put_off(tx, who, day.first_day, day.last_day)
        if _on_closed(tx, who, [day]):
            facts = {"first": False, "taken": [key], "gone": []}
            notices.tell(tx, who, [who.person], notices.FEED, NEWS, facts, themselves=True)
    return _view(tx, who)


def _on_closed(tx: Tx, who: Who, closed: list[FeedDay]) -> list[tuple[Picture, LiveBooking]]:
    """Return the bookings to come that start on these days and have no kit out yet."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    found: dict[int, tuple[Picture, LiveBooking]] = {}
    for day in closed:
        end = calendar.instant(day.last_day + DAY, time.min)
        span = Window(calendar.instant(day.first_day, time.min), end)
        near = bookings.between(tx, who.club, span)
        inside = [b for b in near if max(span.start, who.now) <= b.window.start < end]
        if not inside:
            continue
        seen = picture(tx, who, span)
        for booking in inside:
            if booking.kind != "offer" and not seen.out_for(booking):
                found[booking.id] = (seen, booking)
    return list(found.values())


def _asked_about(tx: Tx, who: Who, row: NoticeRow) -> list[tuple[Picture, LiveBooking]]:
    return _on_closed(tx, who, _still_taken(tx, who, row))


def _still_taken(tx: Tx, who: Who, row: NoticeRow) -> list[FeedDay]:
    alive = feeds.standing(tx, who.club) & set(row.facts["taken"])
    return [each.day for each in feeds.entries(tx, who.club) if each.day.key in alive]


@deed(Deed.SET_UP)
def cancel(tx: Tx, who: Who, notice: int) -> FeedBookingsOff | Refused:
    """Cancel the bookings on newly closed days that this person was asked about."""
    row = _answered(tx, who, notice, "cancel")
    if row is None:
        return Refused(Reason.OUT_OF_DATE)
    cancelled = told = 0
    for seen, booking in _asked_about(tx, who, row):
        bookings.cancel(tx, who.club, booking.id, who.now)
        told += notices.tell_of_cancelling(tx, who, seen.shown(booking), closed=True)
        cancelled += 1
    return FeedBookingsOff(cancelled, told)


@deed(Deed.SET_UP)
def keep(tx: Tx, who: Who, notice: int) -> FeedBookingsKept | Refused:
    """Let the bookings on newly closed days stand that this person was asked about."""
    row = _answered(tx, who, notice, "keep")
    if row is None:
        return Refused(Reason.OUT_OF_DATE)
    return FeedBookingsKept(len(_asked_about(tx, who, row)))


def _answered(tx: Tx, who: Who, notice: int, answer: str) -> NoticeRow | None:
    mine = (
        row
        for row in rows.of_kind(tx, who.club, notices.FEED, who.now - ASKED_FOR)
        if row.id == notice and row.person == who.person and row.subject == NEWS
    )
    row = next(mine, None)
    if row is not None:
        rows.mark(tx, [row.id], answer=answer, answered_at=who.now)
    return row


def owed(tx: Tx, who: Who, row: NoticeRow) -> FeedNews | FeedBroken | None:
    """Read again what a notice about the calendar is to say, if there is still anything."""
    stands = feeds.feed(tx, who.club)
    if stands is None:
        return None
    if row.subject == TROUBLE:
        trouble: Trouble | None = stands.trouble
        return FeedBroken(host_of(stands), trouble, stands.read_at) if trouble else None
    return _news(tx, who, row, stands)


def _news(tx: Tx, who: Who, row: NoticeRow, stands: FeedRow) -> FeedNews | None:
    first = bool(row.facts["first"])
    taken = tuple(_still_taken(tx, who, row))
    gone = tuple(
        FeedDay("", date.fromisoformat(start), date.fromisoformat(end), why, sure=True)
        for start, end, why in row.facts["gone"]
    )
    if not (first or taken or gone):
        return None
    unsure = [e.day for e in feeds.entries(tx, who.club) if e.state == "unsure"]
    return FeedNews(
        notice=NoticeId(row.id),
        host=host_of(stands),
        first=first,
        taken=taken,
        gone=gone,
        unsure=tuple(unsure) if first else (),
        bookings=tuple(seen.shown(booking) for seen, booking in _asked_about(tx, who, row)),
    )


@look(Deed.SEE_OWN)
def export(tx: Tx, who: Who) -> CalendarFile:
    """Return the bookings to come as a calendar file: the club's for its staff, else one's own."""
    everyone = who.role.staff
    if everyone:
        found = bookings.between(tx, who.club, Window(who.now, who.now + FAR))
    else:
        own = people.teams_of(tx, who.club, who.person)
        found = bookings.of_person(tx, who.club, who.person, own, who.now)
    shown: list[BookingView] = []
    if mine := [each for each in found if each.kind != "offer"]:
        seen = picture(tx, who, mine[0].window)
        shown = [seen.shown(each) for each in mine]
    content = calendar_file(
        shown, bot_id=who.asking.bot_id, club=who.club, now=who.now, teams=everyone
    )
    return CalendarFile("bookings.ics", content, len(shown), everyone)
