"""The club: its first leader, its teams, closures, its group, settings."""

from __future__ import annotations

import secrets
from datetime import date, datetime, time, timedelta

from clubbot.desk import group, notices, waiting
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.club_view import club_view
from clubbot.desk.fleet import picture
from clubbot.desk.setting_up import write_answer
from clubbot.rules import setup
from clubbot.rules.calendar import DAY
from clubbot.rules.late import due_on_open_day
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import Reason, Refused, Role, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Closed,
    ClubChoice,
    ClubView,
    ConfirmClosing,
    SettingChanged,
    SetUpAsks,
)
from clubbot.rules.settings import read_setting, spelled
from clubbot.store import bookings, clubs, kits, people
from clubbot.store.engine import Store, Tx
from clubbot.store.ledger import Draft

MOST_OF_A_RESOURCE = 500
FIRST_CODE_HOURS = 48
ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"
"""What codes are made of: nothing that is misread when typed from a screen."""


def new_code() -> str:
    """Return a code that can't be guessed: ten signs of thirty-one, about 49 bits."""
    return "".join(secrets.choice(ALPHABET) for _ in range(10))


def first_code(store: Store, now: datetime) -> str | None:
    """Return a new one-time code for the first leader, or None where there is a leader already.

    Codes of earlier starts hold until their time is over, or until one of them is used.
    """
    with store.write() as tx:
        clubs.found_alone(tx)
        if people.any_leader(tx):
            return None
        code = new_code()
        until = now + timedelta(hours=FIRST_CODE_HOURS)
        people.invite(tx, None, code, Role.LEADER, until, uses=1)
    return code


@deed(Deed.SET_UP)
def add_teams(tx: Tx, who: Who, names: str) -> SetUpAsks:
    """Add the teams of a list, such as "Red, Blue"; those that are there stay."""
    problem = write_answer(tx, who, "teams", names).problem
    return SetUpAsks("teams" if problem else "done", club_view(tx, who), problem)


@deed(Deed.SET_UP)
def remove_team(tx: Tx, who: Who, name: str) -> SetUpAsks | Refused:
    """Take a team off the list; its bookings stay until somebody cancels them."""
    for ref in clubs.teams(tx, who.club).values():
        if ref.name.casefold() == name.strip().casefold():
            clubs.remove_team(tx, who.club, ref.id, who.now)
            return SetUpAsks("done", club_view(tx, who))
    return Refused(Reason.UNKNOWN_TEAM, {"word": name.strip()})


@look(Deed.SET_UP)
def settings(tx: Tx, who: Who) -> ClubView:
    """Return the club with its settings."""
    return club_view(tx, who)


@deed(Deed.SET_UP)
def change_setting(tx: Tx, who: Who, text: str) -> SettingChanged | Refused:
    """Change one setting, such as "grace 20" or "charge day Thursday"."""
    changed = read_setting(who.settings, text)
    if isinstance(changed, str):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "setting", "problem": changed})
    settings, name = changed
    clubs.change(tx, who.club, settings=settings.changed())
    return SettingChanged(name, dict(spelled(settings))[name])


@deed(Deed.SET_UP)
def close_days(tx: Tx, who: Who, text: str) -> Closed | Refused:
    """Close days ("26 Oct to 30 Oct: mid-term"): bookings that start on them are cancelled."""
    spelled, _, why = text.partition(":")
    span = setup.read_days(spelled, who.now.astimezone(who.zone).date(), who.zone)
    if span is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "days"})
    return _close(tx, who, span[0], span[1], why.strip()[:80])


@deed(Deed.SET_UP)
def close_day(tx: Tx, who: Who, day: str) -> Closed | Refused:
    """Close one day: no club. Those booked are told, and nothing that is out becomes late."""
    try:
        closed = date.fromisoformat(day)
    except ValueError:
        return Refused(Reason.OUT_OF_DATE)
    if closed < who.now.astimezone(who.zone).date():
        return Refused(Reason.OUT_OF_DATE)
    return _close(tx, who, closed, closed, "")


def _close(tx: Tx, who: Who, first: date, last: date, why: str) -> Closed:
    clubs.close_days(tx, who.club, first, last, why)
    cancelled, told = _cancel_between(tx, who, first, last)
    put_off(tx, who, first, last)
    group.days_closed(tx, who, first, last, closed=True)
    return Closed(True, first, last, cancelled, told, why)


def put_off(tx: Tx, who: Who, first: date, last: date) -> None:
    """Make what is due on a closed day due on the next open one."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    for kit, now in kits.kits(tx, who.club).items():
        due = now.position.due
        if due is not None and first <= calendar.day_of(due) <= last:
            later = Detail(due=due_on_open_day(due, calendar))
            who.append(tx, [Draft(EntryKind.EXTENDED, kit=kit, detail=later)])


@look(Deed.SET_UP)
def ask_to_close(tx: Tx, who: Who, day: str = "") -> ConfirmClosing | Refused:
    """Ask once more before a day's club, or today's, is called off."""
    try:
        today = who.now.astimezone(who.zone).date()
        closed = date.fromisoformat(day) if day else today
    except ValueError:
        return Refused(Reason.OUT_OF_DATE)
    calendar = clubs.calendar(tx, who.club, who.zone)
    span = Window(calendar.instant(closed, time.min), calendar.instant(closed + DAY, time.min))
    inside = [each for each in bookings.between(tx, who.club, span) if each.window.start > who.now]
    return ConfirmClosing(closed, sum(span.start <= each.window.start for each in inside))


@deed(Deed.SET_UP)
def set_hours(tx: Tx, who: Who, text: str) -> SettingChanged | Refused:
    """Say when an adult is in the room beside the meetings ("Mon 13:00-17:00, Fri 13:00-15:30").

    From then on students and helpers book within these hours and the meetings only; "none" ends
    that.
    """
    if text.strip().lower() == "none":
        clubs.set_hours(tx, who.club, [])
        return SettingChanged("supervised hours", "not set")
    spans = setup.read_meetings(text) if text.strip() else text
    if isinstance(spans, str):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "hours"})
    clubs.set_hours(tx, who.club, [(each.weekday, each.starts, each.ends) for each in spans])
    return SettingChanged("supervised hours", text.strip()[:200])


@deed(Deed.SET_UP)
def set_resource(tx: Tx, who: Who, text: str) -> SettingChanged | Refused:
    """Say what can be booked along with kits and how many there are ("mats 4")."""
    name, _, count = text.strip().rpartition(" ")
    if not name or not count.isdecimal() or int(count) > MOST_OF_A_RESOURCE:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "resource"})
    clubs.set_resource(tx, who.club, name.strip()[:60], int(count))
    waiting.serve(tx, who)
    return SettingChanged(name.strip(), count)


def _cancel_between(tx: Tx, who: Who, first: date, last: date) -> tuple[int, int]:
    calendar = clubs.calendar(tx, who.club, who.zone)
    span = Window(calendar.instant(first, time.min), calendar.instant(last + DAY, time.min))
    seen = picture(tx, who, span)
    cancelled = told = 0
    for booking in seen.bookings:
        inside = span.start <= booking.window.start < span.end
        if inside and booking.window.start > who.now and not seen.out_for(booking):
            bookings.cancel(tx, who.club, booking.id, who.now)
            told += notices.tell_of_cancelling(tx, who, seen.shown(booking), closed=True)
            cancelled += 1
    return cancelled, told


@deed(Deed.SET_UP)
def open_days(tx: Tx, who: Who, text: str) -> Closed | Refused:
    """Open days again that were closed."""
    span = setup.read_days(text, who.now.astimezone(who.zone).date(), who.zone)
    if span is None or not clubs.open_days(tx, who.club, *span):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "closed days"})
    group.days_closed(tx, who, *span, closed=False)
    return Closed(False, span[0], span[1], 0, 0)


@look(Deed.SEE_FREE)
def my_clubs(tx: Tx, who: Who) -> ClubChoice:
    """Return the clubs that this person is in."""
    found = people.clubs_of(tx, who.asking.telegram_id)
    return ClubChoice(tuple((number, name, number == who.club) for number, name, _ in found))


@deed(Deed.SEE_FREE)
def choose_club(tx: Tx, who: Who, number: int) -> ClubChoice | Refused:
    """Mean another of one's clubs from now on, in private."""
    found = people.clubs_of(tx, who.asking.telegram_id)
    mine = next((each for each in found if each[0] == number), None)
    if mine is None:
        return Refused(Reason.NO_SUCH_CLUB)
    people.change(tx, mine[0], mine[2], chosen_at=who.now)
    return ClubChoice(tuple((club, name, club == number) for club, name, _ in found))
