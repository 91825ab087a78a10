"""What was sent to children, when people were last seen, what they muted, their last buttons."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, PersonId, Role
from clubbot.store.engine import Tx, inserting
from clubbot.store.tables import LAST_BUTTONS, MUTE, PERSON, SEEN, SENT_MESSAGE

Buttons = Sequence[tuple[str, str]]
"""Each button's text and the data behind it."""


@dataclass(frozen=True, slots=True)
class Met:
    """A person whom a private chat belongs to, in one of their clubs."""

    club: ClubId
    person: PersonId
    role: Role


@dataclass(frozen=True, slots=True)
class SentRow:
    """A message that the bot sent to somebody."""

    at: datetime
    name: str
    role: Role
    text: str


def met(tx: Tx, chats: Collection[int]) -> Mapping[int, Sequence[Met]]:
    """Return who is behind these private chats, the club that they chose last first."""
    rows = tx.execute(
        sa.select(PERSON.c.telegram_id, PERSON.c.club_id, PERSON.c.id, PERSON.c.role)
        .where(PERSON.c.telegram_id.in_(list(chats)), PERSON.c.left_at.is_(None))
        .order_by(PERSON.c.chosen_at.desc(), PERSON.c.id)
    )
    found: dict[int, list[Met]] = {}
    for row in rows:
        found.setdefault(row.telegram_id, []).append(Met(row.club_id, row.id, Role(row.role)))
    return found


def keep(tx: Tx, rows: Sequence[tuple[Met, datetime, str]]) -> None:
    """Keep messages that were sent."""
    if rows:
        values = [
            {"club_id": whom.club, "person_id": whom.person, "at": at, "text": text}
            for whom, at, text in rows
        ]
        tx.execute(sa.insert(SENT_MESSAGE), values)


def saw(tx: Tx, whom: Collection[Met], day: date) -> None:
    """Note that people were seen on a day."""
    for each in whom:
        values = {"club_id": each.club, "person_id": each.person, "day": day}
        tx.execute(
            inserting(tx.dialect, SEEN)
            .values(values)
            .on_conflict_do_update(index_elements=["club_id", "person_id"], set_={"day": day})
        )


def seen(tx: Tx, club: ClubId) -> Mapping[PersonId, date]:
    """Return the day on which each person was last seen, where they were."""
    rows = tx.execute(sa.select(SEEN).where(SEEN.c.club_id == club))
    return {row.person_id: row.day for row in rows}


def sent(
    tx: Tx, club: ClubId, person: PersonId | None, limit: int, offset: int
) -> tuple[list[SentRow], int]:
    """Return a page of what was sent to a club's children, newest first, and how many there are."""
    mine = SENT_MESSAGE.c.club_id == club
    if person is not None:
        mine = sa.and_(mine, SENT_MESSAGE.c.person_id == person)
    count = tx.execute(sa.select(sa.func.count()).select_from(SENT_MESSAGE).where(mine))
    joined = sa.and_(
        PERSON.c.club_id == SENT_MESSAGE.c.club_id, PERSON.c.id == SENT_MESSAGE.c.person_id
    )
    rows = tx.execute(
        sa.select(SENT_MESSAGE.c.at, SENT_MESSAGE.c.text, PERSON.c.name, PERSON.c.role)
        .join_from(SENT_MESSAGE, PERSON, joined)
        .where(mine)
        .order_by(SENT_MESSAGE.c.at.desc(), SENT_MESSAGE.c.id.desc())
        .limit(limit)
        .offset(offset)
    )
    found = [SentRow(row.at, row.name, Role(row.role), row.text) for row in rows]
    return found, int(count.scalar_one())


def put_buttons(tx: Tx, newest: Mapping[int, tuple[datetime, Buttons]]) -> None:
    """Remember the newest buttons of private chats."""
    for chat, (at, buttons) in newest.items():
        values = {"chat_id": chat, "at": at, "buttons": [list(each) for each in buttons]}
        tx.execute(
            inserting(tx.dialect, LAST_BUTTONS)
            .values(values)
            .on_conflict_do_update(
                index_elements=["chat_id"], set_={"at": at, "buttons": values["buttons"]}
            )
        )


def buttons(tx: Tx) -> dict[int, tuple[datetime, Buttons]]:
    """Return the newest buttons of all private chats."""
    rows = tx.execute(sa.select(LAST_BUTTONS))
    return {row.chat_id: (row.at, [(text, data) for text, data in row.buttons]) for row in rows}


def muted(tx: Tx, club: ClubId) -> Mapping[PersonId, frozenset[str]]:
    """Return which kinds of notices people don't want."""
    found: dict[PersonId, set[str]] = {}
    for row in tx.execute(sa.select(MUTE).where(MUTE.c.club_id == club)):
        found.setdefault(row.person_id, set()).add(row.kind)
    return {person: frozenset(kinds) for person, kinds in found.items()}


def mute(tx: Tx, club: ClubId, person: PersonId, kind: str, wanted: bool) -> None:
    """Say whether a person wants a kind of notice."""
    mine = sa.and_(MUTE.c.club_id == club, MUTE.c.person_id == person, MUTE.c.kind == kind)
    tx.execute(sa.delete(MUTE).where(mine))
    if not wanted:
        tx.execute(sa.insert(MUTE).values(club_id=club, person_id=person, kind=kind))


def drop_sent(tx: Tx, club: ClubId, before: datetime) -> int:
    """Delete a club's messages that are older than that."""
    old = sa.and_(SENT_MESSAGE.c.club_id == club, SENT_MESSAGE.c.at < before)
    return int(tx.execute(sa.delete(SENT_MESSAGE).where(old)).rowcount)


def drop_buttons(tx: Tx, before: datetime) -> None:
    """Delete buttons that are older than that."""
    tx.execute(sa.delete(LAST_BUTTONS).where(LAST_BUTTONS.c.at < before))
