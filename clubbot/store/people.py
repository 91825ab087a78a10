"""People: who writes, who is in the club, who knocks, and by which invitation."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId, PersonId, Role, TeamId
from clubbot.rules.results import KnockView
from clubbot.store.engine import Tx
from clubbot.store.prepared import Prepared
from clubbot.store.remembering import remembered, saw
from clubbot.store.tables import (
    CLUB,
    CODE_TRY,
    DIALOGUE,
    GROUP_CHAT,
    HANDLED_UPDATE,
    INVITATION,
    KNOCK,
    PERSON,
    TEAM_MEMBER,
)

_WHO = (
    sa.select(
        PERSON.c.id.label("person_id"),
        PERSON.c.name.label("person_name"),
        PERSON.c.role,
        CLUB.c.id.label("club_id"),
        CLUB.c.name.label("club_name"),
        CLUB.c.zone,
        CLUB.c.settings,
        CLUB.c.version,
        sa.select(HANDLED_UPDATE.c.result)
        .where(
            HANDLED_UPDATE.c.bot_id == sa.bindparam("bot"),
            HANDLED_UPDATE.c.update_id == sa.bindparam("update"),
        )
        .scalar_subquery()
        .label("earlier"),
        sa.exists()
        .where(
            DIALOGUE.c.chat_id == sa.bindparam("chat"),
            DIALOGUE.c.telegram_id == sa.bindparam("telegram_id"),
        )
        .label("in_dialogue"),
    )
    .join_from(PERSON, CLUB, PERSON.c.club_id == CLUB.c.id)
    .where(PERSON.c.telegram_id == sa.bindparam("telegram_id"), PERSON.c.left_at.is_(None))
)
_WHO_ALONE = Prepared(_WHO.order_by(PERSON.c.chosen_at.desc(), PERSON.c.id).limit(1))
_WHO_IN_GROUP = Prepared(
    _WHO.join(GROUP_CHAT, GROUP_CHAT.c.club_id == CLUB.c.id).where(
        GROUP_CHAT.c.chat_id == sa.bindparam("chat_id"), GROUP_CHAT.c.removed_at.is_(None)
    )
)


def person_in_chat(
    tx: Tx, telegram_id: int, chat: int, *, private: bool, bot: int, update: int
) -> Any:
    """Find who writes: in the group's club, or in private in the club that they chose last.

    With what an earlier delivery of the same update had as its result, and whether a dialogue of
    theirs stands in this chat.
    """
    facts = {"telegram_id": telegram_id, "chat": chat, "bot": bot, "update": update}
    if private:
        row = _WHO_ALONE.first(tx, **facts)
    else:
        row = _WHO_IN_GROUP.first(tx, **facts, chat_id=chat)
    if row is not None:
        saw(tx, row.club_id, row.version)
    return row


@dataclass(frozen=True, slots=True)
class PersonRow:
    id: PersonId
    telegram_id: int | None
    name: str
    role: Role
    unreachable: bool


@remembered(PERSON)
def people(tx: Tx, club: ClubId) -> Sequence[PersonRow]:
    """Return everybody who is in the club, adults first."""
    found = sa.select(PERSON).where(PERSON.c.club_id == club, PERSON.c.left_at.is_(None))
    order = list(Role)
    rows = [
        PersonRow(
            row.id, row.telegram_id, row.name, Role(row.role), row.unreachable_since is not None
        )
        for row in tx.execute(found)
    ]
    return tuple(sorted(rows, key=lambda row: (order.index(row.role), row.name.casefold())))


def clubs_of(tx: Tx, telegram_id: int) -> list[tuple[ClubId, str, PersonId]]:
    """Return the clubs that somebody is in, the one chosen last first."""
    found = (
        sa.select(CLUB.c.id, CLUB.c.name, PERSON.c.id.label("person"))
        .join_from(PERSON, CLUB, PERSON.c.club_id == CLUB.c.id)
        .where(PERSON.c.telegram_id == telegram_id, PERSON.c.left_at.is_(None))
        .order_by(PERSON.c.chosen_at.desc(), PERSON.c.id)
    )
    return [(row.id, row.name, row.person) for row in tx.execute(found)]


def any_leader(tx: Tx) -> bool:
    """Say whether any club has a leader yet."""
    found = sa.select(PERSON.c.id).where(
        PERSON.c.role == Role.LEADER.value, PERSON.c.left_at.is_(None)
    )
    return tx.execute(found.limit(1)).first() is not None


def add(
    tx: Tx, club: ClubId, telegram_id: int | None, name: str, role: Role, now: datetime
) -> PersonId:
    """Let somebody in; one who was in before keeps their number and history."""
    known = None
    if telegram_id is not None:
        known = tx.execute(
            sa.select(PERSON.c.id).where(
                PERSON.c.club_id == club, PERSON.c.telegram_id == telegram_id
            )
        ).scalar_one_or_none()
    values = {"name": name, "role": role.value, "left_at": None, "chosen_at": now}
    if known is not None:
        tx.execute(sa.update(PERSON).where(PERSON.c.id == known).values(**values))
        return PersonId(known)
    made = tx.execute(
        sa.insert(PERSON)
        .values(club_id=club, telegram_id=telegram_id, joined_at=now, **values)
        .returning(PERSON.c.id)
    )
    return PersonId(made.scalar_one())


def change(tx: Tx, club: ClubId, person: PersonId, **values: Any) -> None:
    """Change a person's own columns."""
    tx.execute(
        sa.update(PERSON).where(PERSON.c.club_id == club, PERSON.c.id == person).values(**values)
    )


def reachable(tx: Tx, telegram_id: int, since: datetime | None) -> bool:
    """Note since when somebody can't be written to, in every club (None: they can).

    Returns whether that is news.
    """
    known = PERSON.c.unreachable_since
    missing = known.is_not(None) if since is None else known.is_(None)
    changed = tx.execute(
        sa.update(PERSON)
        .where(PERSON.c.telegram_id == telegram_id, missing)
        .values(unreachable_since=since)
    )
    return bool(changed.rowcount)


def teams_of(tx: Tx, club: ClubId, person: PersonId) -> set[TeamId]:
    """Return the teams that this person is in."""
    return {team for team, persons in members(tx, club).items() if person in persons}


@remembered(TEAM_MEMBER)
def members(tx: Tx, club: ClubId) -> Mapping[TeamId, Sequence[PersonId]]:
    """Return who is in which team."""
    found: dict[TeamId, list[PersonId]] = {}
    rows = sa.select(TEAM_MEMBER).where(TEAM_MEMBER.c.club_id == club)
    for row in tx.execute(rows):
        found.setdefault(row.team_id, []).append(row.person_id)
    return found


def put_in_team(tx: Tx, club: ClubId, person: PersonId, team: TeamId) -> None:
    """Put a person into one team, and out of any other."""
    tx.execute(
        sa.delete(TEAM_MEMBER).where(
            TEAM_MEMBER.c.club_id == club, TEAM_MEMBER.c.person_id == person
        )
    )
    tx.execute(sa.insert(TEAM_MEMBER).values(club_id=club, team_id=team, person_id=person))


def fingerprint(code: str) -> str:
    """Return what is kept of an invitation's code."""
    return hashlib.sha256(code.encode()).hexdigest()


def invite(tx: Tx, club: ClubId | None, code: str, role: Role, until: datetime, uses: int) -> None:
    """Add an invitation; without a club it founds one and makes the first leader."""
    tx.execute(
        sa.insert(INVITATION).values(
            club_id=club,
            code_hash=fingerprint(code),
            role=role.value,
            expires_at=until,
            uses_left=uses,
        )
    )


def invitation(tx: Tx, code: str, now: datetime) -> Any:
    """Return the invitation with this code while it is good: (id, club_id, role)."""
    return tx.execute(
        sa.select(INVITATION.c.id, INVITATION.c.club_id, INVITATION.c.role).where(
            INVITATION.c.code_hash == fingerprint(code),
            INVITATION.c.uses_left > 0,
            INVITATION.c.expires_at > now,
        )
    ).first()


def use_invitation(tx: Tx, number: int) -> bool:
    """Use an invitation once; False where others used it up meanwhile."""
    used = tx.execute(
        sa.update(INVITATION)
        .where(INVITATION.c.id == number, INVITATION.c.uses_left > 0)
        .values(uses_left=INVITATION.c.uses_left - 1)
    )
    return used.rowcount == 1


def drop_founding_codes(tx: Tx) -> None:
    """Take back every code that would found a club."""
    tx.execute(sa.delete(INVITATION).where(INVITATION.c.club_id.is_(None)))


def wrong_codes(tx: Tx, telegram_id: int | None, since: datetime) -> int:
    """Return how many wrong codes somebody has tried since then; None: all together."""
    found = sa.select(sa.func.count()).where(CODE_TRY.c.at > since)
    if telegram_id is not None:
        found = found.where(CODE_TRY.c.telegram_id == telegram_id)
    return int(tx.execute(found).scalar_one())


def note_wrong_code(tx: Tx, telegram_id: int, now: datetime) -> None:
    """Remember a wrong code for a day."""
    tx.execute(sa.delete(CODE_TRY).where(CODE_TRY.c.at < now - timedelta(days=1)))
    tx.execute(sa.insert(CODE_TRY).values(telegram_id=telegram_id, at=now))


def knock(tx: Tx, club: ClubId, telegram_id: int, name: str, role: Role, now: datetime) -> int:
    """Note that somebody wants in; a second knock replaces the first."""
    tx.execute(sa.delete(KNOCK).where(KNOCK.c.club_id == club, KNOCK.c.telegram_id == telegram_id))
    made = tx.execute(
        sa.insert(KNOCK)
        .values(club_id=club, telegram_id=telegram_id, name=name, role=role.value, at=now)
        .returning(KNOCK.c.id)
    )
    return int(made.scalar_one())


def is_knocking(tx: Tx, club: ClubId, telegram_id: int) -> bool:
    """Say whether somebody waits to be let in already."""
    found = sa.select(KNOCK.c.id).where(KNOCK.c.club_id == club, KNOCK.c.telegram_id == telegram_id)
    return tx.execute(found).first() is not None


def knocks(tx: Tx, club: ClubId) -> list[KnockView]:
    """Return who waits to be let in, the longest waiting first."""
    found = sa.select(KNOCK).where(KNOCK.c.club_id == club).order_by(KNOCK.c.at)
    return [KnockView(row.id, row.name, Role(row.role), row.at) for row in tx.execute(found)]


def take_knock(tx: Tx, club: ClubId, number: int) -> Any:
    """Take a knock off the list and return it: (telegram_id, name, role)."""
    return tx.execute(
        sa.delete(KNOCK)
        .where(KNOCK.c.club_id == club, KNOCK.c.id == number)
        .returning(KNOCK.c.telegram_id, KNOCK.c.name, KNOCK.c.role)
    ).first()
