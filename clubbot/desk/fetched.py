"""What came of fetching a school's calendar: closures are replaced, or the last good copy stands.

A leader hears of trouble once, not at each try; of days that newly close or open; and is asked
about the bookings on them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from clubbot.desk import notices
from clubbot.desk.acting import Who, by_the_clock
from clubbot.desk.club import put_off
from clubbot.desk.feed import EVERY, NEWS, TROUBLE
from clubbot.rules.calendar import DAY
from clubbot.rules.feeds import (
    AHEAD_DAYS,
    FeedCopy,
    FeedDay,
    FeedToFetch,
    Fetched,
    Trouble,
    Unchanged,
)
from clubbot.rules.model import PersonId, Role
from clubbot.store import clubs, feeds, people
from clubbot.store import notices as rows
from clubbot.store.engine import Store, Tx
from clubbot.store.feeds import Entry, FeedRow, State
from clubbot.store.notices import NewNotice

ANEW = timedelta(days=7)
"""A copy older than this is fetched whole, even where the server would say that nothing changed:
what repeats without end has gone on since."""
QUIET = timedelta(days=7)
"""A calendar that comes and goes is complained of at most this often."""
_USEFUL = timedelta(days=7)


def due(store: Store, now: datetime) -> list[FeedToFetch]:
    """Return the calendars of all clubs that are to be fetched now."""
    with store.read() as tx:
        found = [(row, clubs.club(tx, row.club).zone) for row in feeds.due(tx, now)]
    return [
        FeedToFetch(
            club=row.club,
            url=row.url,
            etag=row.etag if _recent(row, now) else "",
            last_modified=row.last_modified if _recent(row, now) else "",
            zone=zone,
            today=now.astimezone(zone).date(),
        )
        for row, zone in found
    ]


def _recent(row: FeedRow, now: datetime) -> bool:
    return row.read_at is not None and now - row.read_at < ANEW


def next_moment(store: Store, after: datetime, until: datetime) -> datetime | None:
    """Return when the next calendar is to be fetched, if that is in (after, until]."""
    with store.read() as tx:
        moment = feeds.next_fetch(tx, after)
    return moment if moment is not None and moment <= until else None


def take_in(store: Store, asked: FeedToFetch, fetched: Fetched, now: datetime) -> None:
    """Write down what came of a fetching, unless the address was changed meanwhile."""
    with store.write() as tx:
        clubs.lock(tx, asked.club)
        stands = feeds.feed(tx, asked.club)
        if stands is None or stands.url != asked.url:
            return
        who = by_the_clock(clubs.club(tx, asked.club), now)
        feeds.change(tx, who.club, next_at=now + EVERY)
        match fetched:
            case FeedCopy():
                _take(tx, who, stands, fetched)
            case Unchanged():
                feeds.change(tx, who.club, trouble="")
            case Trouble():
                _note(tx, who, stands, fetched)


def _note(tx: Tx, who: Who, stands: FeedRow, trouble: Trouble) -> None:
    feeds.change(tx, who.club, trouble=trouble.value)
    told = stands.told_at is not None and who.now - stands.told_at < QUIET
    if stands.trouble is None and not told:
        feeds.change(tx, who.club, told_at=who.now)
        _owe(tx, who, stands, TROUBLE, {})


def _take(tx: Tx, who: Who, stands: FeedRow, copy: FeedCopy) -> None:
    today = who.now.astimezone(who.zone).date()
    before = {e.day.key: e for e in _as_it_stands(tx, who, today)}
    closed = {key: e.day for key, e in before.items() if e.state == "taken"}
    found = [Entry(day, _state(day, before.get(day.key))) for day in copy.read.found]
    first = stands.read_at is None
    coming = [day for day in closed.values() if day.first_day > today]
    if not first and len(coming) > 1 and not any(day.sure for day in copy.read.found):
        _note(tx, who, stands, Trouble.GONE)
        return
    feeds.replace(tx, who.club, found, today)
    feeds.change(
        tx,
        who.club,
        etag=copy.etag,
        last_modified=copy.last_modified,
        read_at=who.now,
        read_to=today + AHEAD_DAYS * DAY,
        trouble="",
    )
    taken = {entry.day.key: entry.day for entry in found if entry.state == "taken"}
    new = [day for key, day in taken.items() if key not in closed or not _same(day, closed[key])]
    for day in new:
        put_off(tx, who, day.first_day, day.last_day)
    known_to = stands.read_to or today
    told = list(taken.values()) if first else [day for day in new if day.first_day <= known_to]
    gone = [day for day in coming if day.key not in taken]
    if first or told or gone:
        _owe(tx, who, stands, NEWS, _facts(first, told, gone))


def _as_it_stands(tx: Tx, who: Who, today: date) -> Iterable[Entry]:
    """Yield the entries of the last copy; those whose closure was opened by hand as dropped."""
    alive = feeds.standing(tx, who.club)
    for entry in feeds.entries(tx, who.club):
        opened = entry.state == "taken" and entry.day.key not in alive
        if entry.day.last_day >= today:
            yield Entry(entry.day, "dropped") if opened else entry


def _state(day: FeedDay, before: Entry | None) -> State:
    """Return what is made of days: what a leader made of them, else what the calendar says."""
    says: State = "taken" if day.sure else "unsure"
    if before is None:
        return says
    unchanged = before.state == ("taken" if before.day.sure else "unsure")
    return says if unchanged else before.state


def _same(one: FeedDay, other: FeedDay) -> bool:
    return (one.first_day, one.last_day) == (other.first_day, other.last_day)


def _facts(first: bool, told: Iterable[FeedDay], gone: Iterable[FeedDay]) -> dict[str, Any]:
    return {
        "first": first,
        "taken": [day.key for day in told],
        "gone": [[day.first_day.isoformat(), day.last_day.isoformat(), day.why] for day in gone],
    }


def _owe(tx: Tx, who: Who, stands: FeedRow, subject: str, facts: Mapping[str, Any]) -> None:
    """Owe the leaders a message; who has just set the address waits for it, at any hour."""
    first_try = stands.read_at is None and stands.trouble is None
    if first_try and stands.set_by is not None:
        at_once = NewNotice(
            kind=notices.FEED,
            subject=subject,
            occurrence=who.deed,
            person=stands.set_by,
            due_at=who.now,
            send_at=who.now,
            useful_until=who.now + _USEFUL,
            facts=facts,
        )
        rows.add(tx, who.club, [at_once])
    else:
        notices.tell(tx, who, _leaders(tx, who), notices.FEED, subject, facts)


def _leaders(tx: Tx, who: Who) -> list[PersonId]:
    return [row.id for row in people.people(tx, who.club) if row.role is Role.LEADER]
