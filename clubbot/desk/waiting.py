"""The waiting list, and requests that a leader decides.

Whoever waits longest and can be served in full is offered a place, which is held for them for a
time and counts like a booking; if they don't take it, the next is asked.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed
from clubbot.desk.fleet import picture
from clubbot.desk.promising import Wanted, promise
from clubbot.rules.model import Reason, Refused, Role, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import Booked, BookingView, LeaderAsked, OnWaitingList, WishDropped
from clubbot.store import bookings, clubs, people, wishes
from clubbot.store.engine import Tx
from clubbot.store.wishes import WishRow

HELD_FOR = timedelta(hours=12)
"""How long an offered place is held; never beyond an hour before it begins."""
LAST_HOUR = timedelta(hours=1)


@deed(Deed.BOOK)
def wait(
    tx: Tx, who: Who, start: datetime, end: datetime, count: int, team: TeamId | None
) -> OnWaitingList | Refused:
    """Put a request that couldn't be booked on the waiting list."""
    if end <= start or count < 1 or start <= who.now:
        return Refused(Reason.OUT_OF_DATE)
    own = people.teams_of(tx, who.club, who.person)
    if team is not None and team not in own and not may(who.role, Deed.ACT_FOR_TEAM):
        return Refused(Reason.UNKNOWN_TEAM)
    if team is not None and team not in clubs.teams(tx, who.club):
        return Refused(Reason.OUT_OF_DATE)
    window = Window(start, end)
    wishes.add(tx, who.club, team, who.person, count, window, who.now, state="waiting")
    ahead = [each for each in wishes.standing(tx, who.club, "waiting") if _near(each, window)]
    serve(tx, who)
    return OnWaitingList(window, count, len(ahead))


def _near(wish: WishRow, window: Window) -> bool:
    return wish.window.overlaps(window)


def serve(tx: Tx, who: Who) -> int:
    """Offer a place to those who wait, in order, as far as each can be served in full."""
    offered = 0
    for wish in wishes.standing(tx, who.club, "waiting"):
        until = min(who.now + HELD_FOR, wish.window.start - LAST_HOUR)
        if wish.window.start <= who.now:
            wishes.settle(tx, who.club, wish.id, "done")
        elif until > who.now:
            booking = promise(
                tx, _as_leader(who), _wanted(tx, who, wish), kind="offer", until=until
            )
            if isinstance(booking, BookingView):
                wishes.settle(tx, who.club, wish.id, "offered", booking.id)
                notices.tell(
                    tx, who, [wish.person], notices.OFFER, f"wish {wish.id}", themselves=True
                )
                offered += 1
    return offered


def _as_leader(who: Who) -> Who:
    """Return the same asking without a team's limits: they were settled when the wish was made."""
    return replace(who, role=Role.LEADER)


def _wanted(tx: Tx, who: Who, wish: WishRow) -> Wanted:
    team = clubs.teams(tx, who.club).get(wish.team) if wish.team else None
    return Wanted(wish.window, wish.count, (), team, {}, wish.person)


@deed(Deed.BOOK)
def accept(tx: Tx, who: Who, number: int) -> Booked | Refused:
    """Take the place that is held for one."""
    wish = wishes.by_id(tx, who.club, number)
    if wish is None or wish.person != who.person or wish.state != "offered" or not wish.booking:
        return Refused(Reason.OUT_OF_DATE)
    bookings.settle_offer(tx, who.club, wish.booking)
    wishes.settle(tx, who.club, wish.id, "done")
    seen = picture(tx, who, wish.window)
    return Booked(seen.shown(bookings.by_id(tx, who.club, [wish.booking])[wish.booking]))


@deed(Deed.BOOK)
def give_up(tx: Tx, who: Who, number: int) -> WishDropped | Refused:
    """Give up one's place on the waiting list, or the offer; the next is asked."""
    wish = wishes.by_id(tx, who.club, number)
    if wish is None or wish.person != who.person or wish.state == "done":
        return Refused(Reason.OUT_OF_DATE)
    _drop(tx, who, wish)
    serve(tx, who)
    return WishDropped(wish.window, wish.count)


def _drop(tx: Tx, who: Who, wish: WishRow) -> None:
    if wish.booking and wish.state == "offered":
        bookings.cancel(tx, who.club, wish.booking, who.now)
    wishes.settle(tx, who.club, wish.id, "done")


def expire(tx: Tx, who: Who) -> int:
    """Let go of the places that weren't taken in time, and offer them to the next."""
    over = wishes.overdue(tx, who.club, who.now)
    for wish in over:
        _drop(tx, who, wish)
    if over:
        serve(tx, who)
    return len(over)


def ask_leader(
    tx: Tx, who: Who, wanted: Wanted, why: Literal["over-limit", "undecided"]
) -> LeaderAsked:
    """Put a request to the leaders for a yes or no."""
    number = wishes.add(
        tx,
        who.club,
        wanted.team.id if wanted.team else None,
        who.person,
        wanted.count,
        wanted.window,
        who.now,
        state="asked",
        why=why,
    )
    notices.tell_adults(tx, who, notices.ASKED, f"wish {number}")
    return LeaderAsked(wanted.window, wanted.count, why)


@deed(Deed.DECIDE)
def approve(tx: Tx, who: Who, number: int) -> Booked | Refused:
    """Say yes to a request that goes beyond what a team may book."""
    wish = wishes.by_id(tx, who.club, number)
    if wish is None or wish.state != "asked":
        return Refused(Reason.OUT_OF_DATE)
    booking = promise(tx, who, _wanted(tx, who, wish))
    if not isinstance(booking, BookingView):
        return booking if isinstance(booking, Refused) else Refused(Reason.UNDECIDED)
    wishes.settle(tx, who.club, wish.id, "done", booking.id)
    notices.tell(tx, who, [wish.person], notices.DECIDED, f"wish {wish.id}", {"yes": True})
    return Booked(booking)


@deed(Deed.DECIDE)
def decline(tx: Tx, who: Who, number: int) -> WishDropped | Refused:
    """Say no to such a request."""
    wish = wishes.by_id(tx, who.club, number)
    if wish is None or wish.state != "asked":
        return Refused(Reason.OUT_OF_DATE)
    wishes.settle(tx, who.club, wish.id, "done")
    notices.tell(tx, who, [wish.person], notices.DECIDED, f"wish {wish.id}", {"yes": False})
    return WishDropped(wish.window, wish.count)
