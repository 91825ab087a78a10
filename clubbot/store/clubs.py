"""The club itself: its lock, its calendar, its teams, whose a group is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa

from clubbot.rules.availability import ResourceId
from clubbot.rules.calendar import DAY, Closure, ClubCalendar, Hours, Meeting, Move
from clubbot.rules.model import ClubId, KitTypeId, PersonId, TeamId
from clubbot.rules.results import TeamRef
from clubbot.rules.settings import ClubSettings
from clubbot.store.engine import Tx
from clubbot.store.prepared import Prepared
from clubbot.store.remembering import raised, remembered
from clubbot.store.tables import (
    CLOSURE,
    CLUB,
    GROUP_CHAT,
    KIT_TYPE,
    MEETING,
    RESOURCE,
    SESSION_MOVE,
    SUPERVISED_HOURS,
    TEAM,
)

_LOCK = Prepared(
    sa.update(CLUB)
    .where(CLUB.c.id == sa.bindparam("club"))
    .values(version=CLUB.c.version + 1)
    .returning(CLUB.c.version)
)


def lock(tx: Tx, club: ClubId) -> int:
    """Take the club's lock for this transaction and return its new version."""
    version = int(_LOCK.rows(tx, club=club)[0].version)
    raised(tx, club, version)
    return version


@dataclass(frozen=True, slots=True)
class ClubRow:
    """A club as stored."""

    id: ClubId
    name: str
    zone: ZoneInfo
    settings: ClubSettings
    created_at: datetime


def everyone(tx: Tx) -> list[ClubRow]:
    """Return all clubs."""
    return [_club(row) for row in tx.execute(sa.select(CLUB).order_by(CLUB.c.id))]


def club(tx: Tx, number: ClubId) -> ClubRow:
    """Return one club."""
    return _club(tx.execute(sa.select(CLUB).where(CLUB.c.id == number)).one())


def _club(row: Any) -> ClubRow:
    settings = ClubSettings.read(row.settings)
    return ClubRow(row.id, row.name, ZoneInfo(row.zone), settings, row.created_at)


def found(tx: Tx, name: str, zone: str, now: datetime) -> ClubId:
    """Add a club with one kit type, which the leader may rename later."""
    number = tx.execute(
        sa.insert(CLUB)
        .values(name=name, zone=zone, version=0, last_seq=0, settings={}, created_at=now)
        .returning(CLUB.c.id)
    ).scalar_one()
    raised(tx, number, 0)
    tx.execute(sa.insert(KIT_TYPE).values(club_id=number, name="robot kit", run_minutes=120))
    return ClubId(number)


FOUNDING = 7_215_002
"""Names the lock; any number does that nothing else in the database is locked by."""


def found_alone(tx: Tx) -> None:
    """Let no other transaction give out or use a founding code until this one is over."""
    if tx.dialect.name != "sqlite":  # there a writer is alone anyway
        tx.execute(sa.select(sa.func.pg_advisory_xact_lock(FOUNDING)))


def change(tx: Tx, number: ClubId, **values: Any) -> None:
    """Change a club's own columns."""
    tx.execute(sa.update(CLUB).where(CLUB.c.id == number).values(**values))


def calendar(tx: Tx, number: ClubId, zone: ZoneInfo) -> ClubCalendar:
    """Return the club's meeting times, supervised hours and closures, and the moved sessions."""
    meetings, hours, closures = _times(tx, number)
    return ClubCalendar(zone, meetings, closures, hours, _moves(tx, number))


@remembered(SESSION_MOVE)
def _moves(tx: Tx, number: ClubId) -> tuple[Move, ...]:
    found = tx.execute(sa.select(SESSION_MOVE).where(SESSION_MOVE.c.club_id == number))
    return tuple(Move(row.day, row.at, row.to_day, row.starts, row.ends) for row in found)


@remembered(MEETING, SUPERVISED_HOURS, CLOSURE)
def _times(
    tx: Tx, number: ClubId
) -> tuple[tuple[Meeting, ...], tuple[Hours, ...], tuple[Closure, ...]]:
    meetings = tx.execute(sa.select(MEETING).where(MEETING.c.club_id == number)).all()
    hours = tx.execute(sa.select(SUPERVISED_HOURS).where(SUPERVISED_HOURS.c.club_id == number))
    closures = tx.execute(sa.select(CLOSURE).where(CLOSURE.c.club_id == number)).all()
    return (
        tuple(
            Meeting(row.id, row.name, row.weekday, row.starts, row.ends, row.adult_id)
            for row in sorted(meetings, key=lambda row: (row.weekday, row.starts))
        ),
        tuple(Hours(row.weekday, row.starts, row.ends) for row in hours),
        tuple(
            Closure(row.first_day, row.last_day, row.why)
            for row in sorted(closures, key=lambda row: row.first_day)
        ),
    )


def add_meeting(
    tx: Tx,
    number: ClubId,
    weekday: int,
    starts: time,
    ends: time,
    adult: PersonId | None,
    name: str = "",
) -> None:
    """Add a weekly meeting time; one that starts at the same time is replaced."""
    tx.execute(
        sa.delete(MEETING).where(
            MEETING.c.club_id == number,
            MEETING.c.weekday == weekday,
            MEETING.c.starts == starts,
        )
    )
    tx.execute(
        sa.insert(MEETING).values(
            club_id=number, name=name, weekday=weekday, starts=starts, ends=ends, adult_id=adult
        )
    )


def remove_meetings(tx: Tx, number: ClubId) -> None:
    """Remove all weekly meeting times."""
    tx.execute(sa.delete(MEETING).where(MEETING.c.club_id == number))


def give_meeting(tx: Tx, number: ClubId, meeting: int, adult: PersonId) -> None:
    """Say which adult runs a weekly meeting."""
    mine = sa.and_(MEETING.c.club_id == number, MEETING.c.id == meeting)
    tx.execute(sa.update(MEETING).where(mine).values(adult_id=adult))


def set_hours(tx: Tx, number: ClubId, spans: Sequence[tuple[int, time, time]]) -> None:
    """Replace the supervised hours."""
    tx.execute(sa.delete(SUPERVISED_HOURS).where(SUPERVISED_HOURS.c.club_id == number))
    rows = [
        {"club_id": number, "weekday": weekday, "starts": starts, "ends": ends}
        for weekday, starts, ends in spans
    ]
    if rows:
        tx.execute(sa.insert(SUPERVISED_HOURS), rows)


def close_days(tx: Tx, number: ClubId, first_day: date, last_day: date, why: str) -> None:
    """Add a closure."""
    tx.execute(
        sa.insert(CLOSURE).values(club_id=number, first_day=first_day, last_day=last_day, why=why)
    )


def open_days(tx: Tx, number: ClubId, first_day: date, last_day: date) -> int:
    """Take these days out of the closures that they fall in; return how many those were."""
    touched = tx.execute(
        sa.delete(CLOSURE)
        .where(
            CLOSURE.c.club_id == number,
            CLOSURE.c.first_day <= last_day,
            CLOSURE.c.last_day >= first_day,
        )
        .returning(CLOSURE)
    ).all()
    for row in touched:
        before, after = (row.first_day, first_day - DAY), (last_day + DAY, row.last_day)
        for first, last in (before, after):
            if first <= last:
                kept = {**row._mapping, "first_day": first, "last_day": last}
                del kept["id"]
                tx.execute(sa.insert(CLOSURE).values(kept))
    return len(touched)


@remembered(TEAM)
def teams(tx: Tx, number: ClubId) -> Mapping[TeamId, TeamRef]:
    """Return the club's teams by id, in the order of their names."""
    wanted = (
        sa.select(TEAM.c.id, TEAM.c.name)
        .where(TEAM.c.club_id == number, TEAM.c.removed_at.is_(None))
        .order_by(sa.func.lower(TEAM.c.name))
    )
    return {row.id: TeamRef(row.id, row.name) for row in tx.execute(wanted)}


def add_team(tx: Tx, number: ClubId, name: str) -> TeamRef:
    """Add a team."""
    made = tx.execute(sa.insert(TEAM).values(club_id=number, name=name).returning(TEAM.c.id))
    return TeamRef(made.scalar_one(), name)


def remove_team(tx: Tx, number: ClubId, team: TeamId, now: datetime) -> None:
    """Take a team off the list; what it did stays in the ledger, and its name becomes free."""
    tx.execute(
        sa.update(TEAM)
        .where(TEAM.c.club_id == number, TEAM.c.id == team)
        .values(removed_at=now, name=sa.func.substr(TEAM.c.name, 1, 40) + sa.literal(f" ({team})"))
    )


@remembered(KIT_TYPE)
def kit_types(tx: Tx, number: ClubId) -> Mapping[KitTypeId, str]:
    """Return the names of the kit types, the oldest first."""
    wanted = sa.select(KIT_TYPE).where(KIT_TYPE.c.club_id == number).order_by(KIT_TYPE.c.id)
    return {row.id: row.name for row in tx.execute(wanted)}


@remembered(KIT_TYPE)
def run_minutes(tx: Tx, number: ClubId) -> Mapping[KitTypeId, int]:
    """Return how long each kit type drives from a full charge, in minutes."""
    wanted = sa.select(KIT_TYPE.c.id, KIT_TYPE.c.run_minutes).where(KIT_TYPE.c.club_id == number)
    return {row.id: row.run_minutes for row in tx.execute(wanted)}


@remembered(RESOURCE)
def resources(tx: Tx, number: ClubId) -> Mapping[ResourceId, tuple[str, int]]:
    """Return (name, how many) of what can be booked along with kits."""
    wanted = sa.select(RESOURCE).where(RESOURCE.c.club_id == number).order_by(RESOURCE.c.name)
    return {ResourceId(row.id): (row.name, row.number) for row in tx.execute(wanted)}


def set_resource(tx: Tx, number: ClubId, name: str, count: int) -> None:
    """Set how many there are of something that is booked along with kits."""
    changed = tx.execute(
        sa.update(RESOURCE)
        .where(RESOURCE.c.club_id == number, sa.func.lower(RESOURCE.c.name) == name.lower())
        .values(number=count)
    )
    if not changed.rowcount:
        tx.execute(sa.insert(RESOURCE).values(club_id=number, name=name, number=count))


@remembered(TEAM)
def teams_with_same_kit(tx: Tx, number: ClubId) -> frozenset[TeamId]:
    """Return the teams that are to keep the same kit from session to session."""
    wanted = sa.select(TEAM.c.id).where(TEAM.c.club_id == number, TEAM.c.same_kit)
    return frozenset(TeamId(team) for team in tx.execute(wanted).scalars())


def set_same_kit(tx: Tx, number: ClubId, team: TeamId, same: bool) -> None:
    """Say whether a team is to keep the same kit."""
    tx.execute(
        sa.update(TEAM).where(TEAM.c.club_id == number, TEAM.c.id == team).values(same_kit=same)
    )


def group_of(tx: Tx, number: ClubId) -> str | None:
    """Return the title of the group that the club is linked to."""
    wanted = sa.select(GROUP_CHAT.c.title).where(
        GROUP_CHAT.c.club_id == number, GROUP_CHAT.c.removed_at.is_(None)
    )
    return tx.execute(wanted.limit(1)).scalar_one_or_none()


def club_of_group(tx: Tx, chat_id: int) -> ClubId | None:
    """Return the club that a group is linked to."""
    wanted = sa.select(GROUP_CHAT.c.club_id).where(
        GROUP_CHAT.c.chat_id == chat_id, GROUP_CHAT.c.removed_at.is_(None)
    )
    return tx.execute(wanted).scalar_one_or_none()
