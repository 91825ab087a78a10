"""A club with years behind it: bookings that are over, with their kits, ledger and notices."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa

from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import BookingId, ClubId, KitId, PersonId, Role, TeamId
from clubbot.store import clubs, kits, ledger, people, schema
from clubbot.store.engine import Store, Tx
from clubbot.store.tables import BOOKING, BOOKING_KIT, NOTICE, SUPERVISED_HOURS

ZONE = ZoneInfo("Europe/London")
NOW = datetime.now(UTC).replace(microsecond=0)
"""The bot runs on the real clock, and all is made up around it."""
KITS, TEAMS, PEOPLE = 24, 8, 40
FIRST_PERSON = 700_000_001
SLOTS = ((time(9), time(10, 30)), (time(11), time(12, 30)), (time(13, 30), time(15)))
MEETING = (time(15, 30), time(17))
PER_SLOT = 12
"""How many bookings of two kits fill the fleet once."""
KEPT = timedelta(days=60)
"""Notices that are older have been deleted by upkeep."""


@dataclass(frozen=True)
class Members:
    club: ClubId
    kit_type: int
    kits: list[KitId]
    teams: list[TeamId]
    people: list[PersonId]


def make(url: str, past: int, live: int) -> None:
    """Make a database with a club that has had so many bookings, and has so many to come."""
    store = Store(url)
    try:
        schema.upgrade(store)
        with store.write() as tx:
            members = _club(tx)
            numbers = itertools.count(1)
            _fill_past(tx, members, past, numbers)
            _fill_live(tx, members, live, numbers)
        with store.read() as tx:
            if wrong := ledger.audit(tx, members.club):
                raise RuntimeError(f"the made-up past does not fit: {wrong[0]}")
        with store.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        store.close()


def _club(tx: Tx) -> Members:
    begun = NOW - timedelta(days=4 * 365)
    club = clubs.found(tx, "Bench club", ZONE.key, begun)
    kit_type = next(iter(clubs.kit_types(tx, club)))
    kits.add(tx, club, kit_type, [str(number) for number in range(1, KITS + 1)])
    teams = [clubs.add_team(tx, club, f"Team {number}").id for number in range(1, TEAMS + 1)]
    found = []
    roles = itertools.chain([Role.LEADER, Role.CO_LEADER], itertools.repeat(Role.STUDENT))
    for number, role in zip(range(PEOPLE), roles, strict=False):
        telegram = FIRST_PERSON + number
        person = people.add(tx, club, telegram, f"Person {number}", role, begun)
        people.put_in_team(tx, club, person, teams[number % TEAMS])
        found.append(person)
    for weekday in range(5):
        clubs.add_meeting(tx, club, weekday, *MEETING, found[0])
    hours = {"club_id": club, "starts": time(8), "ends": time(18)}
    tx.execute(sa.insert(SUPERVISED_HOURS), [hours | {"weekday": day} for day in range(5)])
    return Members(club, kit_type, list(kits.kits(tx, club)), teams, found)


def weekdays(first: datetime, step: int) -> Iterator[datetime]:
    """Yield midnights of school days in the club's zone, from a day on, forward or back."""
    day = datetime.combine(first.astimezone(ZONE).date(), time(0))
    while True:
        day += timedelta(days=step)
        if day.weekday() < 5:
            yield day


def slot(day: datetime, span: tuple[time, time]) -> tuple[datetime, datetime]:
    start, end = (datetime.combine(day, each, ZONE).astimezone(UTC) for each in span)
    return start, end


def _fill_past(tx: Tx, members: Members, number: int, numbers: Iterator[int]) -> None:
    """Give out and take back, slot by slot up to yesterday, two slots a day."""
    spans = [
        slot(day, span)
        for day in itertools.islice(weekdays(NOW, -1), number // (2 * PER_SLOT) + 1)
        for span in (MEETING, SLOTS[1])
    ]
    left = number
    for start, end in sorted(spans[: -(-number // PER_SLOT)]):
        taken = min(PER_SLOT, left)
        left -= taken
        made = _bookings(tx, members, taken, start, end, numbers, over=True)
        for kind, at in ((EntryKind.GIVEN_OUT, start), (EntryKind.TAKEN_BACK, end)):
            drafts = [
                ledger.Draft(kind, kit=kit, detail=_detail(kind, booking, members, end))
                for booking, pair in made.items()
                for kit in pair
            ]
            deed = f"bench:{kind}:{at.isoformat()}"[:40]
            ledger.append(
                tx,
                members.club,
                drafts,
                happened_at=at,
                said_at=at,
                said_by=members.people[0],
                deed=deed,
            )
        if start > NOW - KEPT:
            _notices(tx, members, made, start)


def _detail(kind: EntryKind, booking: BookingId, members: Members, end: datetime) -> Detail:
    team = members.teams[booking % TEAMS]
    if kind is EntryKind.GIVEN_OUT:
        return Detail(team=team, booking=booking, due=end)
    return Detail(team=team, booking=booking)


def _fill_live(tx: Tx, members: Members, number: int, numbers: Iterator[int]) -> None:
    """Spread bookings over the meetings to come, up to eight in each, from the day after next."""
    days = itertools.islice(weekdays(NOW, 1), 1, None)
    left = number
    while left > 0:
        start, end = slot(next(days), MEETING)
        taken = min(8, left)
        left -= taken
        _bookings(tx, members, taken, start, end, numbers, over=False)


def _bookings(
    tx: Tx,
    members: Members,
    number: int,
    start: datetime,
    end: datetime,
    numbers: Iterator[int],
    *,
    over: bool,
) -> dict[BookingId, tuple[KitId, KitId]]:
    kits = random.Random(start.timestamp()).sample(members.kits, 2 * number)
    made: dict[BookingId, tuple[KitId, KitId]] = {}
    rows: list[dict[str, Any]] = []
    for place in range(number):
        key = BookingId(next(numbers))
        made[key] = (kits[2 * place], kits[2 * place + 1])
        rows.append(
            {
                "id": key,
                "club_id": members.club,
                "number": key,
                "kind": "use",
                "team_id": members.teams[key % TEAMS],
                "kit_type_id": members.kit_type,
                "kits": 2,
                "starts": start,
                "ends": end,
                "booked_by": members.people[key % PEOPLE],
                "booked_at": min(NOW, start) - timedelta(days=4),
                "ended_at": end if over else None,
            }
        )
    tx.execute(sa.insert(BOOKING), rows)
    told = start - timedelta(days=1) if over else None
    chosen = [
        {
            "club_id": members.club,
            "booking_id": key,
            "kit_id": kit,
            "named": False,
            "told_at": told,
        }
        for key, pair in made.items()
        for kit in pair
    ]
    tx.execute(sa.insert(BOOKING_KIT), chosen)
    return made


def _notices(
    tx: Tx, members: Members, made: dict[BookingId, tuple[KitId, KitId]], start: datetime
) -> None:
    told = start - timedelta(days=1)
    rows = [
        {
            "club_id": members.club,
            "kind": "tomorrow",
            "subject": f"booking {key}",
            "occurrence": told.date().isoformat(),
            "person_id": members.people[key % PEOPLE],
            "due_at": told,
            "send_at": told,
            "useful_until": start,
            "urgent": False,
            "facts": {},
            "state": "sent",
            "tries": 1,
            "sent_at": told,
        }
        for key in made
    ]
    tx.execute(sa.insert(NOTICE), rows)
