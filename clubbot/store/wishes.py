"""Requests that couldn't be booked: waiting for kits, or for a leader's yes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import BookingId, ClubId, PersonId, TeamId, Window
from clubbot.store.engine import Tx
from clubbot.store.tables import BOOKING, WISH


@dataclass(frozen=True, slots=True)
class WishRow:
    """A request; `booking` is the place held for it, or what came of it."""

    id: int
    team: TeamId | None
    person: PersonId
    count: int
    window: Window
    state: str
    why: str
    booking: BookingId | None


def add(
    tx: Tx,
    club: ClubId,
    team: TeamId | None,
    person: PersonId,
    count: int,
    window: Window,
    now: datetime,
    *,
    state: str,
    why: str = "",
) -> int:
    """Add a request and return its id; the same one twice is kept once."""
    same = sa.select(WISH.c.id).where(
        WISH.c.club_id == club,
        WISH.c.person_id == person,
        WISH.c.kits == count,
        WISH.c.starts == window.start,
        WISH.c.ends == window.end,
        WISH.c.state == state,
    )
    if (known := tx.execute(same).scalar()) is not None:
        return int(known)
    made = tx.execute(
        sa.insert(WISH)
        .values(
            club_id=club,
            team_id=team,
            person_id=person,
            kits=count,
            starts=window.start,
            ends=window.end,
            said_at=now,
            state=state,
            why=why,
        )
        .returning(WISH.c.id)
    )
    return int(made.scalar_one())


def standing(tx: Tx, club: ClubId, state: str) -> list[WishRow]:
    """Return the requests in a state, the longest waiting first."""
    found = sa.select(WISH).where(WISH.c.club_id == club, WISH.c.state == state)
    return [_row(row) for row in tx.execute(found.order_by(WISH.c.said_at, WISH.c.id))]


def by_id(tx: Tx, club: ClubId, number: int) -> WishRow | None:
    """Return one request."""
    row = tx.execute(sa.select(WISH).where(WISH.c.club_id == club, WISH.c.id == number)).first()
    return _row(row) if row else None


def overdue(tx: Tx, club: ClubId, now: datetime) -> list[WishRow]:
    """Return the requests whose held place wasn't taken in time."""
    found = (
        sa.select(WISH)
        .join_from(
            WISH,
            BOOKING,
            sa.and_(BOOKING.c.club_id == WISH.c.club_id, BOOKING.c.id == WISH.c.booking_id),
        )
        .where(
            WISH.c.club_id == club,
            WISH.c.state == "offered",
            BOOKING.c.kind == "offer",
            BOOKING.c.cancelled_at.is_(None),
            BOOKING.c.offered_until <= now,
        )
    )
    return [_row(row) for row in tx.execute(found)]


def next_deadline(tx: Tx, club: ClubId, after: datetime) -> datetime | None:
    """Return when the next held place is let go of."""
    found = (
        sa.select(sa.func.min(BOOKING.c.offered_until))
        .join_from(
            WISH,
            BOOKING,
            sa.and_(BOOKING.c.club_id == WISH.c.club_id, BOOKING.c.id == WISH.c.booking_id),
        )
        .where(
            WISH.c.club_id == club,
            WISH.c.state == "offered",
            BOOKING.c.kind == "offer",
            BOOKING.c.cancelled_at.is_(None),
            BOOKING.c.offered_until > after,
        )
    )
    moment: datetime | None = tx.execute(found).scalar_one()
    return moment


def settle(tx: Tx, club: ClubId, number: int, state: str, booking: BookingId | None = None) -> None:
    """Put a request to a state, with the place held for it."""
    values: dict[str, Any] = {"state": state}
    if booking is not None:
        values["booking_id"] = booking
    tx.execute(sa.update(WISH).where(WISH.c.club_id == club, WISH.c.id == number).values(**values))


def _row(row: Any) -> WishRow:
    return WishRow(
        id=row.id,
        team=row.team_id,
        person=row.person_id,
        count=row.kits,
        window=Window(row.starts, row.ends),
        state=row.state,
        why=row.why,
        booking=row.booking_id,
    )
