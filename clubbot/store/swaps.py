"""Kits that people were told and that were changed since, which they hear the evening before."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import sqlalchemy as sa

from clubbot.rules.model import BookingId, ClubId, KitId
from clubbot.store.engine import Tx, inserting
from clubbot.store.tables import BOOKING, BOOKING_KIT, OWED_SWAP


class OwedSwap(NamedTuple):
    """A kit that a booking's people believe to have, and why it can't be had."""

    kit: KitId
    why: str


def note(tx: Tx, club: ClubId, booking: BookingId, kit: KitId, why: str, *, named: bool) -> None:
    """Note that people are still to hear of it; what they believe first stays what they believe."""
    values = {
        "club_id": club,
        "booking_id": booking,
        "kit_id": kit,
        "named": named,
        "why": why[:40],
    }
    tx.execute(inserting(tx.dialect, OWED_SWAP).values(values).on_conflict_do_nothing())


def owed(tx: Tx, club: ClubId, bookings: Iterable[BookingId]) -> dict[BookingId, list[OwedSwap]]:
    """Return what people are still to hear, by booking."""
    ids = list(bookings)
    found: dict[BookingId, list[OwedSwap]] = {}
    if ids:
        wanted = sa.select(OWED_SWAP).where(
            OWED_SWAP.c.club_id == club, OWED_SWAP.c.booking_id.in_(ids)
        )
        for row in tx.execute(wanted.order_by(OWED_SWAP.c.kit_id)):
            found.setdefault(row.booking_id, []).append(OwedSwap(row.kit_id, row.why))
    return found


def heard(tx: Tx, club: ClubId, booking: BookingId) -> None:
    """Note that people know which kits a booking has."""
    mine = OWED_SWAP.c.booking_id == booking
    tx.execute(sa.delete(OWED_SWAP).where(OWED_SWAP.c.club_id == club, mine))


def settle_back(tx: Tx, club: ClubId, booking: BookingId) -> None:
    """Forget the changes of a booking that were undone before anybody heard of them."""
    back = sa.select(OWED_SWAP.c.kit_id, OWED_SWAP.c.named).join(
        BOOKING_KIT,
        sa.and_(
            BOOKING_KIT.c.club_id == OWED_SWAP.c.club_id,
            BOOKING_KIT.c.booking_id == OWED_SWAP.c.booking_id,
            BOOKING_KIT.c.kit_id == OWED_SWAP.c.kit_id,
        ),
    )
    mine = back.where(OWED_SWAP.c.club_id == club, OWED_SWAP.c.booking_id == booking)
    for row in tx.execute(mine).all():
        same = {"club_id": club, "booking_id": booking, "kit_id": row.kit_id}
        kept = [BOOKING_KIT.c[name] == value for name, value in same.items()]
        # When it was told first is no longer known; that it was is all that counts.
        told = sa.func.coalesce(BOOKING_KIT.c.told_at, _booked_at(club, booking))
        tx.execute(sa.update(BOOKING_KIT).where(*kept).values(named=row.named, told_at=told))
        gone = [OWED_SWAP.c[name] == value for name, value in same.items()]
        tx.execute(sa.delete(OWED_SWAP).where(*gone))


def _booked_at(club: ClubId, booking: BookingId) -> sa.ScalarSelect[object]:
    return (
        sa.select(BOOKING.c.booked_at)
        .where(BOOKING.c.club_id == club, BOOKING.c.id == booking)
        .scalar_subquery()
    )
