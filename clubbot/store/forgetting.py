"""What is deleted: who left, knocks that nobody answered, dialogues and codes that are over."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa

from clubbot.rules.model import ClubId, PersonId
from clubbot.store import absences
from clubbot.store.engine import Tx
from clubbot.store.tables import (
    CODE_TRY,
    DIALOGUE,
    ENTRY,
    FAULT,
    HANDLED_UPDATE,
    INVITATION,
    KNOCK,
    LAST_BUTTONS,
    MEETING,
    MUTE,
    NOTICE,
    PERSON,
    SEEN,
    SENT_MESSAGE,
    TEAM,
    TEAM_MEMBER,
    WISH,
)

KNOCKS_WAIT = timedelta(days=7)
DIALOGUES_WAIT = timedelta(days=2)
"""Longer than any question waits for its answer."""
CODES_TRIED = timedelta(days=1)
CODES_OVER = timedelta(days=7)


class Kept(NamedTuple):
    """How much is kept about a person beside who they are: entries and reports said by them."""

    since: datetime
    entries: int
    reports: int


def kept_about(tx: Tx, club: ClubId, person: PersonId) -> Kept:
    """Return what is kept about a person who is in a club."""
    said = sa.select(sa.func.count()).where(ENTRY.c.club_id == club, ENTRY.c.said_by == person)
    reported = sa.select(sa.func.count()).where(
        FAULT.c.club_id == club, FAULT.c.reported_by == person
    )
    since = sa.select(PERSON.c.joined_at).where(PERSON.c.club_id == club, PERSON.c.id == person)
    return Kept(*(tx.execute(each).scalar_one() for each in (since, said, reported)))


def forget(tx: Tx, club: ClubId, person: PersonId, now: datetime) -> None:
    """Delete who somebody was: they have left, and have neither name nor account any more.

    What they said in the ledger stays, said by somebody who left. What only they were to hear is
    not sent any more, and what they waited for is over.
    """
    mine = sa.and_(PERSON.c.club_id == club, PERSON.c.id == person)
    row = tx.execute(sa.select(PERSON.c.telegram_id, PERSON.c.name).where(mine)).one()
    left = sa.func.coalesce(PERSON.c.left_at, now)
    gone = {"telegram_id": None, "name": "", "unreachable_since": None, "left_at": left}
    tx.execute(sa.update(PERSON).where(mine).values(**gone))
    for table in (MEETING, TEAM):
        theirs = sa.and_(table.c.club_id == club, table.c.adult_id == person)
        tx.execute(sa.update(table).where(theirs).values(adult_id=None))
    of_teams = sa.and_(TEAM_MEMBER.c.club_id == club, TEAM_MEMBER.c.person_id == person)
    tx.execute(sa.delete(TEAM_MEMBER).where(of_teams))
    absences.forget(tx, club, person)
    waits = sa.and_(WISH.c.club_id == club, WISH.c.person_id == person)
    standing = WISH.c.state.in_(("waiting", "asked"))
    tx.execute(sa.update(WISH).where(waits, standing).values(state="done"))
    owed = sa.and_(NOTICE.c.club_id == club, NOTICE.c.person_id == person)
    unsent = NOTICE.c.state.in_(("waiting", "sending"))
    tx.execute(sa.update(NOTICE).where(owed, unsent).values(state="dropped", lease_until=None))
    _forget_habits(tx, club, person)
    if row.name:
        _unname(tx, club, row.name)
    if row.telegram_id is not None:
        _forget_account(tx, club, row.telegram_id)


def _forget_account(tx: Tx, club: ClubId, account: int) -> None:
    tx.execute(sa.delete(KNOCK).where(KNOCK.c.club_id == club, KNOCK.c.telegram_id == account))
    for table in (DIALOGUE, CODE_TRY):
        tx.execute(sa.delete(table).where(table.c.telegram_id == account))
    tx.execute(sa.delete(LAST_BUTTONS).where(LAST_BUTTONS.c.chat_id == account))


def _forget_habits(tx: Tx, club: ClubId, person: PersonId) -> None:
    for table in (SENT_MESSAGE, SEEN, MUTE):
        mine = sa.and_(table.c.club_id == club, table.c.person_id == person)
        tx.execute(sa.delete(table).where(mine))


def _unname(tx: Tx, club: ClubId, name: str) -> None:
    """Take a name out of what was noted for the wording of notices, answers and buttons."""
    for row in tx.execute(sa.select(NOTICE.c.id, NOTICE.c.facts).where(NOTICE.c.club_id == club)):
        if (facts := _without(row.facts, name)) != row.facts:
            tx.execute(sa.update(NOTICE).where(NOTICE.c.id == row.id).values(facts=facts))
    quoted = json.dumps(name, ensure_ascii=False)
    done = HANDLED_UPDATE.c
    for row in tx.execute(
        sa.select(HANDLED_UPDATE).where(done.result.contains(quoted, autoescape=True))
    ).all():
        this = sa.and_(done.bot_id == row.bot_id, done.update_id == row.update_id)
        text = row.result.replace(quoted, '""')
        tx.execute(sa.update(HANDLED_UPDATE).where(this).values(result=text))
    for row in tx.execute(sa.select(LAST_BUTTONS)).all():
        if any(name in text for text, _ in row.buttons):
            this = LAST_BUTTONS.c.chat_id == row.chat_id
            tx.execute(sa.delete(LAST_BUTTONS).where(this))
    of_club = SENT_MESSAGE.c.club_id == club
    naming = sa.and_(of_club, SENT_MESSAGE.c.text.contains(name, autoescape=True))
    tx.execute(sa.delete(SENT_MESSAGE).where(naming))


def _without(value: Any, name: str) -> Any:
    """Return a noted value with every text that is this name made empty."""
    if isinstance(value, Mapping):
        return {key: _without(each, name) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_without(each, name) for each in value]
    return "" if value == name else value


def tidy(tx: Tx, now: datetime) -> None:
    """Delete what is kept no longer than it is needed, in every club."""
    known = sa.or_(PERSON.c.telegram_id.is_not(None), PERSON.c.name != "")
    gone = sa.select(PERSON.c.club_id, PERSON.c.id).where(PERSON.c.left_at.is_not(None), known)
    for row in tx.execute(gone).all():
        forget(tx, row.club_id, row.id, now)
    tx.execute(sa.delete(KNOCK).where(KNOCK.c.at < now - KNOCKS_WAIT))
    tx.execute(sa.delete(DIALOGUE).where(DIALOGUE.c.at < now - DIALOGUES_WAIT))
    tx.execute(sa.delete(CODE_TRY).where(CODE_TRY.c.at < now - CODES_TRIED))
    tx.execute(sa.delete(INVITATION).where(INVITATION.c.expires_at < now - CODES_OVER))
