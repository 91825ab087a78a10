"""Sessions that are held at another time than usual, and their bookings' windows."""

from __future__ import annotations

import sqlalchemy as sa

from clubbot.rules.calendar import Move
from clubbot.rules.model import BookingId, ClubId, Window
from clubbot.store.engine import Tx
from clubbot.store.tables import BOOKING, SESSION_MOVE, WISH


def move(tx: Tx, club: ClubId, to: Move) -> None:
    """Hold a session at another time, in place of any that it was moved to before."""
    stay(tx, club, to)
    tx.execute(
        sa.insert(SESSION_MOVE).values(
            club_id=club,
            day=to.day,
            at=to.at,
            to_day=to.to_day,
            starts=to.starts,
            ends=to.ends,
        )
    )


def stay(tx: Tx, club: ClubId, moved: Move) -> None:
    """Hold a session at its usual time again."""
    tx.execute(
        sa.delete(SESSION_MOVE).where(
            SESSION_MOVE.c.club_id == club,
            SESSION_MOVE.c.day == moved.day,
            SESSION_MOVE.c.at == moved.at,
        )
    )


def take_along(tx: Tx, club: ClubId, booking: BookingId, window: Window, count: int) -> None:
    """Put a booking, with its number and all else, into another window."""
    tx.execute(
        sa.update(BOOKING)
        .where(BOOKING.c.club_id == club, BOOKING.c.id == booking)
        .values(starts=window.start, ends=window.end, kits=count)
    )


def wish_along(tx: Tx, club: ClubId, wish: int, window: Window) -> None:
    """Let a request that waits be for another window."""
    tx.execute(
        sa.update(WISH)
        .where(WISH.c.club_id == club, WISH.c.id == wish)
        .values(starts=window.start, ends=window.end)
    )
