"""Bookings called off or moved in plain words: nothing is done before it is clear which one."""

from __future__ import annotations

from clubbot.desk import booking, requests
from clubbot.desk.acting import Who
from clubbot.desk.finding import find_team
from clubbot.desk.fleet import picture
from clubbot.rules.model import Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import Missing, Reading
from clubbot.rules.reading.calling_off import CallsOff, calls_off
from clubbot.rules.results import BookingView, CallOffWhich
from clubbot.store import bookings, clubs, people
from clubbot.store.engine import Tx


def heard(tx: Tx, who: Who, text: str) -> CallOffWhich | Refused | None:
    """Answer words about a booking that stands with that booking; None where they are others."""
    said = calls_off(text)
    if said is None:
        return None
    if said.number is not None:
        one = booking.find_own(tx, who, said.number)
        if isinstance(one, Refused):
            return one
        return CallOffWhich(said.what, (picture(tx, who, one.window).shown(one),))
    return _meant(tx, who, text, said)


def _meant(tx: Tx, who: Who, text: str, said: CallsOff) -> CallOffWhich:
    """Return those bookings that the text may mean: of its day and team, where one fits."""
    teams = clubs.teams(tx, who.club)
    whose = teams if may(who.role, Deed.CANCEL_ANY) else people.teams_of(tx, who.club, who.person)
    live = bookings.of_person(tx, who.club, who.person, whose, who.now)
    found = [picture(tx, who, each.window).shown(each) for each in live[:20]]
    team, plain = find_team(text, teams)
    if team is not None:
        found = [each for each in found if each.team == team]
    reading = requests.read(tx, who, plain)
    day = reading.day if isinstance(reading, Missing) else None
    day = reading.start.date() if isinstance(reading, Reading) else day
    if day is not None and said.what == "cancel":
        found = [each for each in found if each.window.start.astimezone(who.zone).date() == day]
    fewer = reading.count if isinstance(reading, Reading | Missing) else None
    return CallOffWhich(said.what, tuple(found), _left(found, fewer, said))


def _left(found: list[BookingView], fewer: int | None, said: CallsOff) -> int:
    """Return how many kits stay booked where only some of the one booking aren't wanted."""
    if said.what == "change" or len(found) != 1 or fewer is None:
        return 0
    return max(found[0].count - fewer, 0)
