"""The school's calendar: its address, what its last good copy says, and the closures from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

import sqlalchemy as sa

from clubbot.rules.feeds import FeedDay, Trouble
from clubbot.rules.model import ClubId, PersonId
from clubbot.store.engine import Tx
from clubbot.store.tables import CLOSURE, FEED, FEED_ENTRY

State = Literal["taken", "unsure", "dropped"]


@dataclass(frozen=True, slots=True)
class FeedRow:
    """A club's calendar feed as it stands."""

    club: ClubId
    url: str
    set_by: PersonId | None
    etag: str
    last_modified: str
    next_at: datetime
    read_at: datetime | None
    read_to: date | None
    trouble: Trouble | None
    told_at: datetime | None


@dataclass(frozen=True, slots=True)
class Entry:
    """Days that the last good copy speaks of, and what is made of them."""

    day: FeedDay
    state: State


def feed(tx: Tx, club: ClubId) -> FeedRow | None:
    """Return the club's feed, if it has one."""
    row = tx.execute(sa.select(FEED).where(FEED.c.club_id == club)).first()
    return _feed(row) if row else None


def due(tx: Tx, now: datetime) -> list[FeedRow]:
    """Return the feeds of all clubs that are to be fetched by now, the longest due first."""
    wanted = sa.select(FEED).where(FEED.c.next_at <= now).order_by(FEED.c.next_at, FEED.c.id)
    return [_feed(row) for row in tx.execute(wanted)]


def next_fetch(tx: Tx, after: datetime) -> datetime | None:
    """Return when the next feed that isn't due yet is to be fetched."""
    found = sa.select(sa.func.min(FEED.c.next_at)).where(FEED.c.next_at > after)
    moment: datetime | None = tx.execute(found).scalar_one()
    return moment


def put(tx: Tx, club: ClubId, url: str, person: PersonId | None, now: datetime) -> None:
    """Make this the club's feed, in place of any other, to be fetched at once.

    What an earlier one said stands until this one was read.
    """
    tx.execute(sa.delete(FEED).where(FEED.c.club_id == club))
    tx.execute(
        sa.insert(FEED).values(
            club_id=club,
            url=url,
            set_by=person,
            etag="",
            last_modified="",
            next_at=now,
            trouble="",
        )
    )


def change(tx: Tx, club: ClubId, **values: Any) -> None:
    """Change the columns of a club's feed."""
    tx.execute(sa.update(FEED).where(FEED.c.club_id == club).values(**values))


def remove(tx: Tx, club: ClubId, today: date) -> int:
    """Remove a club's feed with all that it said; return how many closures to come went with it."""
    tx.execute(sa.delete(FEED).where(FEED.c.club_id == club))
    tx.execute(sa.delete(FEED_ENTRY).where(FEED_ENTRY.c.club_id == club))
    return _open(tx, club, today)


def entries(tx: Tx, club: ClubId) -> list[Entry]:
    """Return what the last good copy says, in order of days."""
    wanted = sa.select(FEED_ENTRY).where(FEED_ENTRY.c.club_id == club)
    return [
        Entry(FeedDay(row.key, row.first_day, row.last_day, row.why, row.sure), row.state)
        for row in tx.execute(wanted.order_by(FEED_ENTRY.c.first_day, FEED_ENTRY.c.key))
    ]


def standing(tx: Tx, club: ClubId) -> set[str]:
    """Return the keys of the feed's closures that stand; one that isn't here was opened by hand."""
    found = sa.select(CLOSURE.c.feed_key).where(
        CLOSURE.c.club_id == club, CLOSURE.c.feed_key.is_not(None)
    )
    return set(tx.execute(found).scalars())


def replace(tx: Tx, club: ClubId, found: Iterable[Entry], today: date) -> None:
    """Put these entries, and the closures to come that follow from them, in place of the last.

    Closures that somebody typed stay, and so do those that are over.
    """
    every = list(found)
    tx.execute(sa.delete(FEED_ENTRY).where(FEED_ENTRY.c.club_id == club))
    _open(tx, club, today)
    if not every:
        return
    tx.execute(
        sa.insert(FEED_ENTRY),
        [
            {
                "club_id": club,
                "key": each.day.key,
                "first_day": each.day.first_day,
                "last_day": each.day.last_day,
                "why": each.day.why,
                "sure": each.day.sure,
                "state": each.state,
            }
            for each in every
        ],
    )
    for each in every:
        if each.state == "taken":
            _close(tx, club, each.day)


def judge(tx: Tx, club: ClubId, day: FeedDay, state: State) -> None:
    """Take an entry for a closure, or drop it."""
    mine = (FEED_ENTRY.c.club_id == club, FEED_ENTRY.c.key == day.key)
    tx.execute(sa.update(FEED_ENTRY).where(*mine).values(state=state))
    tx.execute(sa.delete(CLOSURE).where(CLOSURE.c.club_id == club, CLOSURE.c.feed_key == day.key))
    if state == "taken":
        _close(tx, club, day)


def _close(tx: Tx, club: ClubId, day: FeedDay) -> None:
    tx.execute(
        sa.insert(CLOSURE).values(
            club_id=club,
            first_day=day.first_day,
            last_day=day.last_day,
            why=day.why,
            feed_key=day.key,
        )
    )


def _open(tx: Tx, club: ClubId, today: date) -> int:
    done = tx.execute(
        sa.delete(CLOSURE).where(
            CLOSURE.c.club_id == club,
            CLOSURE.c.feed_key.is_not(None),
            CLOSURE.c.last_day >= today,
        )
    )
    return done.rowcount


def _feed(row: Any) -> FeedRow:
    return FeedRow(
        club=row.club_id,
        url=row.url,
        set_by=row.set_by,
        etag=row.etag,
        last_modified=row.last_modified,
        next_at=row.next_at,
        read_at=row.read_at,
        read_to=row.read_to,
        trouble=Trouble(row.trouble) if row.trouble else None,
        told_at=row.told_at,
    )
