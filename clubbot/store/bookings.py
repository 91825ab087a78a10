"""Bookings, and the kits chosen for them."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa

from clubbot.rules.availability import ResourceId
from clubbot.rules.model import BookingId, ClubId, KitId, KitTypeId, PersonId, TeamId, Window
from clubbot.store.engine import Tx
from clubbot.store.prepared import Prepared
from clubbot.store.remembering import remembered
from clubbot.store.tables import BOOKING, BOOKING_KIT, BOOKING_RESOURCE, RESOURCE


@dataclass(frozen=True, slots=True)
class LiveBooking:
    """A booking that stands, with the kits chosen for it.

    `named` are those that people asked for by label, `told` those they have been told.
    """

    id: BookingId
    number: int
    kind: str
    team: TeamId | None
    kit_type: KitTypeId
    count: int
    window: Window
    booked_by: PersonId | None
    booked_at: datetime
    chosen: tuple[KitId, ...]
    named: tuple[KitId, ...]
    told: tuple[KitId, ...]
    series: int | None = None
    resources: tuple[tuple[int, int], ...] = ()


_STANDING = (
    sa.select(BOOKING, BOOKING_KIT.c.kit_id, BOOKING_KIT.c.named, BOOKING_KIT.c.told_at)
    .join_from(
        BOOKING,
        BOOKING_KIT,
        sa.and_(
            BOOKING_KIT.c.club_id == BOOKING.c.club_id, BOOKING_KIT.c.booking_id == BOOKING.c.id
        ),
        isouter=True,
    )
    .where(BOOKING.c.club_id == sa.bindparam("club"), BOOKING.c.cancelled_at.is_(None))
    .order_by(BOOKING.c.starts, BOOKING.c.id, BOOKING_KIT.c.kit_id)
)
_BETWEEN = Prepared(
    _STANDING.where(
        BOOKING.c.ends > sa.bindparam("after"),
        BOOKING.c.starts < sa.bindparam("before"),
        BOOKING.c.ended_at.is_(None),
    )
)
_BY_ID = _STANDING.where(BOOKING.c.id.in_(sa.bindparam("ids", expanding=True)))
_RESOURCE = sa.select(RESOURCE.c.id).where(RESOURCE.c.club_id == sa.bindparam("club")).limit(1)
_ALONG = sa.select(BOOKING_RESOURCE).where(
    BOOKING_RESOURCE.c.club_id == sa.bindparam("club"),
    BOOKING_RESOURCE.c.booking_id.in_(sa.bindparam("ids", expanding=True)),
)


def between(
    tx: Tx, club: ClubId, window: Window, gap: timedelta = timedelta(0)
) -> list[LiveBooking]:
    """Return the standing bookings that lie less than `gap` from a window, by start."""
    found = _BETWEEN.rows(tx, club=club, after=window.start - gap, before=window.end + gap)
    return _bookings(tx, club, found)


def over(tx: Tx, club: ClubId, window: Window) -> list[LiveBooking]:
    """Return the uses of a window that ended when their last kit came back, by start."""
    ended = _STANDING.where(
        BOOKING.c.ends > window.start,
        BOOKING.c.starts < window.end,
        BOOKING.c.ended_at.is_not(None),
        BOOKING.c.kind == "use",
    )
    return _standing(tx, club, ended)


def by_id(tx: Tx, club: ClubId, ids: Iterable[int]) -> dict[BookingId, LiveBooking]:
    """Return these bookings, if they stand."""
    wanted = list(ids)
    found = _standing(tx, club, _BY_ID, {"ids": wanted}) if wanted else []
    return {booking.id: booking for booking in found}


def by_number(tx: Tx, club: ClubId, number: int) -> LiveBooking | None:
    """Return the standing booking that people know by this number."""
    found = _standing(
        tx, club, _STANDING.where(BOOKING.c.number == number, BOOKING.c.ended_at.is_(None))
    )
    return found[0] if found else None


def of_person(
    tx: Tx, club: ClubId, person: PersonId, teams: Iterable[TeamId], after: datetime
) -> list[LiveBooking]:
    """Return the bookings, not over at `after`, that someone made or that are for their teams."""
    mine = sa.or_(BOOKING.c.booked_by == person, BOOKING.c.team_id.in_(list(teams)))
    return _standing(
        tx, club, _STANDING.where(BOOKING.c.ends > after, BOOKING.c.ended_at.is_(None), mine)
    )


_LAST_KITS = Prepared(
    sa.select(BOOKING_KIT.c.kit_id).where(
        BOOKING_KIT.c.club_id == sa.bindparam("club"),
        BOOKING_KIT.c.booking_id
        == sa.select(BOOKING.c.id)
        .where(
            BOOKING.c.club_id == sa.bindparam("club"),
            BOOKING.c.team_id == sa.bindparam("team"),
            BOOKING.c.kind == "use",
            BOOKING.c.cancelled_at.is_(None),
            BOOKING.c.starts < sa.bindparam("before"),
        )
        .order_by(BOOKING.c.starts.desc())
        .limit(1)
        .scalar_subquery(),
    )
)


def last_kits(tx: Tx, club: ClubId, team: TeamId, before: datetime) -> tuple[KitId, ...]:
    """Return the kits that a team had at its last booking before this instant."""
    found = _LAST_KITS.rows(tx, club=club, team=team, before=before)
    return tuple(KitId(row.kit_id) for row in found)


def next_start(tx: Tx, club: ClubId, kit: KitId, after: datetime) -> datetime | None:
    """Return when the next booking starts that this kit is chosen for."""
    found = (
        sa.select(sa.func.min(BOOKING.c.starts))
        .join_from(
            BOOKING,
            BOOKING_KIT,
            sa.and_(
                BOOKING_KIT.c.club_id == BOOKING.c.club_id,
                BOOKING_KIT.c.booking_id == BOOKING.c.id,
            ),
        )
        .where(
            BOOKING.c.club_id == club,
            BOOKING_KIT.c.kit_id == kit,
            BOOKING.c.starts > after,
            BOOKING.c.ends > after,  # follows, but tells the server to look in the index by ends
            BOOKING.c.cancelled_at.is_(None),
            BOOKING.c.ended_at.is_(None),
        )
    )
    moment: datetime | None = tx.execute(found).scalar_one()
    return moment


def uses(tx: Tx, club: ClubId, window: Window) -> dict[KitId, int]:
    """Return how many bookings in a window, not over yet, each kit is chosen for."""
    found = Counter(
        kit
        for booking in between(tx, club, window)
        if booking.kind == "use"
        for kit in booking.chosen
    )
    return dict(found)


_ADD = Prepared(
    sa.insert(BOOKING)
    .values(
        number=sa.select(sa.func.coalesce(sa.func.max(BOOKING.c.number), 0) + 1)
        .where(BOOKING.c.club_id == sa.bindparam("club"))
        .scalar_subquery()
    )
    .returning(BOOKING.c.id, BOOKING.c.number),
    columns=(
        "club_id",
        "kind",
        "series",
        "offered_until",
        "team_id",
        "kit_type_id",
        "kits",
        "starts",
        "ends",
        "booked_by",
        "booked_at",
    ),
)


class Added(NamedTuple):
    """A new booking's id, and the number by which people know it."""

    id: BookingId
    number: int


def add(
    tx: Tx,
    club: ClubId,
    *,
    team: TeamId | None,
    kit_type: KitTypeId,
    count: int,
    window: Window,
    booked_by: PersonId | None,
    now: datetime,
    kind: str = "use",
    series: int | None = None,
    offered_until: datetime | None = None,
) -> Added:
    """Add a booking; people will know it by the next number."""
    made = _ADD.first(
        tx,
        club=club,
        club_id=club,
        kind=kind,
        series=series,
        offered_until=offered_until,
        team_id=team,
        kit_type_id=kit_type,
        kits=count,
        starts=window.start,
        ends=window.end,
        booked_by=booked_by,
        booked_at=now,
    )
    return Added(*made)


def book_along(
    tx: Tx, club: ClubId, booking: BookingId, resources: Mapping[ResourceId, int]
) -> None:
    """Add what is booked along with the kits."""
    rows = [
        {"club_id": club, "booking_id": booking, "resource_id": each, "number": number}
        for each, number in resources.items()
    ]
    if rows:
        tx.execute(sa.insert(BOOKING_RESOURCE), rows)


def in_series(tx: Tx, club: ClubId, series: int, after: datetime) -> list[LiveBooking]:
    """Return the bookings of a series that are to come, by start."""
    to_come = _STANDING.where(
        BOOKING.c.series == series, BOOKING.c.starts > after, BOOKING.c.ended_at.is_(None)
    )
    return _standing(tx, club, to_come)


def make_series(tx: Tx, club: ClubId, ids: Sequence[BookingId]) -> None:
    """Say that these bookings are one that repeats; its name is the first one's number."""
    first = sa.select(BOOKING.c.number).where(BOOKING.c.club_id == club, BOOKING.c.id == ids[0])
    tx.execute(
        sa.update(BOOKING)
        .where(BOOKING.c.club_id == club, BOOKING.c.id.in_(list(ids)))
        .values(series=first.scalar_subquery())
    )


def offered_until(tx: Tx, club: ClubId, booking: BookingId) -> datetime | None:
    """Return until when a place is held, while it is."""
    found = sa.select(BOOKING.c.offered_until).where(
        BOOKING.c.club_id == club, BOOKING.c.id == booking, BOOKING.c.cancelled_at.is_(None)
    )
    moment: datetime | None = tx.execute(found).scalar_one_or_none()
    return moment


def settle_offer(tx: Tx, club: ClubId, booking: BookingId) -> None:
    """Make an offered place a booking."""
    _change(tx, club, booking, kind="use", offered_until=None)


def cancel(tx: Tx, club: ClubId, booking: BookingId, now: datetime) -> None:
    """Cancel a booking."""
    _change(tx, club, booking, cancelled_at=now)


def set_aside(tx: Tx, club: ClubId, booking: BookingId, now: datetime) -> None:
    """Leave a booking out of account while another one in its place is tried."""
    _change(tx, club, booking, cancelled_at=now)


def take_up(tx: Tx, club: ClubId, booking: BookingId) -> None:
    """Let a booking that was set aside stand again."""
    _change(tx, club, booking, cancelled_at=None)


def take_over(tx: Tx, club: ClubId, before: LiveBooking, after: BookingId) -> None:
    """Give the number and the series of a booking that was set aside to the one in its place."""
    # A booking that was changed often has several of these behind it, each with its own id.
    _change(tx, club, before.id, number=-before.id)
    _change(tx, club, after, number=before.number, series=before.series)


def end(tx: Tx, club: ClubId, booking: BookingId, now: datetime) -> None:
    """Note that a booking ended when its last kit came back."""
    _change(tx, club, booking, ended_at=now)


def open_again(
    tx: Tx, club: ClubId, booking: LiveBooking, out: Sequence[KitId], now: datetime
) -> None:
    """Note that a booking hasn't ended after all: these kits are out for it."""
    missing = [kit for kit in out if kit not in booking.chosen]
    choose(tx, club, booking.id, missing, frozenset(), now)
    _change(tx, club, booking.id, ended_at=None, kits=max(booking.count, len(out)))


def widen(tx: Tx, club: ClubId, booking: BookingId, count: int) -> None:
    """Note that a booking has more kits than were booked."""
    _change(tx, club, booking, kits=count)


def prolong(tx: Tx, club: ClubId, booking: BookingId, end: datetime) -> None:
    """Note that a booking ends at another time than it did."""
    _change(tx, club, booking, ends=end)


def give_up(tx: Tx, club: ClubId, booking: BookingId, kits: Collection[KitId]) -> None:
    """Note that a booking's kits were passed on: it wants so many fewer, but never none."""
    found = by_id(tx, club, [booking]).get(booking)
    lost = [kit for kit in kits if found and kit in found.chosen]
    if found and lost and len(lost) < found.count:
        drop(tx, club, booking, lost)
        _change(tx, club, booking, kits=found.count - len(lost))


def _change(tx: Tx, club: ClubId, booking: BookingId, **values: Any) -> None:
    tx.execute(
        sa.update(BOOKING)
        .where(BOOKING.c.club_id == club, BOOKING.c.id == booking)
        .values(**values)
    )


_CHOOSE = Prepared(
    sa.insert(BOOKING_KIT), columns=("club_id", "booking_id", "kit_id", "named", "told_at")
)


def choose(
    tx: Tx,
    club: ClubId,
    booking: BookingId,
    kits: Iterable[KitId],
    named: frozenset[KitId],
    told_at: datetime | None,
) -> None:
    """Add kits to a booking's choice; `told_at` is None while nobody was told them."""
    rows = [
        {
            "club_id": club,
            "booking_id": booking,
            "kit_id": kit,
            "named": kit in named,
            "told_at": told_at,
        }
        for kit in kits
    ]
    _CHOOSE.many(tx, rows)


def drop(tx: Tx, club: ClubId, booking: BookingId, kits: Iterable[KitId]) -> None:
    """Take kits out of a booking's choice."""
    tx.execute(
        sa.delete(BOOKING_KIT).where(
            BOOKING_KIT.c.club_id == club,
            BOOKING_KIT.c.booking_id == booking,
            BOOKING_KIT.c.kit_id.in_(list(kits)),
        )
    )


def told(tx: Tx, club: ClubId, booking: BookingId, now: datetime) -> None:
    """Note that people were told which kits are chosen for a booking."""
    tx.execute(
        sa.update(BOOKING_KIT)
        .where(
            BOOKING_KIT.c.club_id == club,
            BOOKING_KIT.c.booking_id == booking,
            BOOKING_KIT.c.told_at.is_(None),
        )
        .values(told_at=now)
    )


def _standing(
    tx: Tx, club: ClubId, question: sa.Select[Any], facts: Mapping[str, Any] | None = None
) -> list[LiveBooking]:
    return _bookings(tx, club, tx.execute(question, {"club": club, **(facts or {})}).all())


def _bookings(tx: Tx, club: ClubId, rows: Sequence[Any]) -> list[LiveBooking]:
    along = _along(tx, club, list(dict.fromkeys(row.id for row in rows)))
    return [
        _live(list(same), along.get(number, ()))
        for number, same in itertools.groupby(rows, key=lambda row: row.id)
    ]


@remembered(RESOURCE)
def _any_resource(tx: Tx, club: ClubId) -> bool:
    return tx.execute(_RESOURCE, {"club": club}).first() is not None


def _along(tx: Tx, club: ClubId, ids: list[int]) -> dict[int, list[tuple[int, int]]]:
    """Return what each of these bookings has booked along with its kits."""
    found: dict[int, list[tuple[int, int]]] = {}
    if ids and _any_resource(tx, club):
        for row in tx.execute(_ALONG, {"club": club, "ids": ids}):
            found.setdefault(row.booking_id, []).append((row.resource_id, row.number))
    return found


def _live(rows: Sequence[Any], along: Sequence[tuple[int, int]]) -> LiveBooking:
    """Make a booking of its rows, one for each kit chosen for it."""
    row = rows[0]
    return LiveBooking(
        id=row.id,
        number=row.number,
        kind=row.kind,
        team=row.team_id,
        kit_type=row.kit_type_id,
        count=row.kits,
        window=Window(row.starts, row.ends),
        booked_by=row.booked_by,
        booked_at=row.booked_at,
        chosen=tuple(each.kit_id for each in rows if each.kit_id is not None),
        named=tuple(each.kit_id for each in rows if each.named),
        told=tuple(each.kit_id for each in rows if each.told_at is not None),
        series=row.series,
        resources=tuple(along),
    )
