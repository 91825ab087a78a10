"""Group chats: linked to one club at most, moved, left, let go."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store.engine import Tx, inserting
from clubbot.store.tables import ANNOUNCEMENT, GROUP_CHAT, PERSON


def link(
    tx: Tx, club: ClubId, chat_id: int, title: str, now: datetime, *, agreed: bool = False
) -> bool:
    """Link a group to a club; False where it is another club's, which then keeps it.

    `agreed`: the school lets the bot see every message there.
    """
    let_go = sa.and_(
        GROUP_CHAT.c.chat_id == chat_id,
        GROUP_CHAT.c.club_id != club,
        GROUP_CHAT.c.removed_at.is_not(None),
    )
    _drop(tx, let_go)
    values = {
        "club_id": club,
        "title": title,
        "linked_at": now,
        "removed_at": None,
        "read_agreed_at": now if agreed else None,
    }
    linked = tx.execute(
        inserting(tx.dialect, GROUP_CHAT)
        .values(chat_id=chat_id, announces=True, **values)
        .on_conflict_do_update(
            index_elements=["chat_id"], set_=values, where=GROUP_CHAT.c.club_id == club
        )
        .returning(GROUP_CHAT.c.id)
    )
    return linked.first() is not None


def unlink(tx: Tx, club: ClubId, chat_id: int) -> None:
    """Let a club's group go; nothing of it is kept."""
    _drop(tx, sa.and_(GROUP_CHAT.c.club_id == club, GROUP_CHAT.c.chat_id == chat_id))


def _drop(tx: Tx, which: sa.ColumnElement[bool]) -> None:
    """Delete groups with what was announced there."""
    gone = sa.select(GROUP_CHAT.c.id).where(which)
    tx.execute(sa.delete(ANNOUNCEMENT).where(ANNOUNCEMENT.c.group_id.in_(gone)))
    tx.execute(sa.delete(GROUP_CHAT).where(which))


def announce_in(tx: Tx, club: ClubId, chat_id: int, topic: int | None, *, announces: bool) -> bool:
    """Say where in a group its club's announcements go, or that there are none."""
    changed = tx.execute(
        sa.update(GROUP_CHAT)
        .where(
            GROUP_CHAT.c.club_id == club,
            GROUP_CHAT.c.chat_id == chat_id,
            GROUP_CHAT.c.removed_at.is_(None),
        )
        .values(topic=topic, announces=announces)
    )
    return changed.rowcount == 1


def announcing(tx: Tx, club: ClubId) -> list[int]:
    """Return the ids of a club's groups that hear announcements."""
    found = sa.select(GROUP_CHAT.c.id).where(
        GROUP_CHAT.c.club_id == club, GROUP_CHAT.c.removed_at.is_(None), GROUP_CHAT.c.announces
    )
    return list(tx.execute(found.order_by(GROUP_CHAT.c.id)).scalars())


def move(tx: Tx, old: int, new: int) -> None:
    """Follow a group whose chat id has changed; doing it twice changes nothing more."""
    known = tx.execute(sa.select(GROUP_CHAT.c.id).where(GROUP_CHAT.c.chat_id == new)).first()
    if known is None:
        tx.execute(sa.update(GROUP_CHAT).where(GROUP_CHAT.c.chat_id == old).values(chat_id=new))
    else:
        _drop(tx, GROUP_CHAT.c.chat_id == old)


def left(tx: Tx, chat_id: int, now: datetime) -> None:
    """Note that the bot was taken out of a group: any club may link it when it is back."""
    tx.execute(sa.update(GROUP_CHAT).where(GROUP_CHAT.c.chat_id == chat_id).values(removed_at=now))


def joined(tx: Tx, chat_id: int, by: int) -> None:
    """Note that the bot was put back into a group: it is its club's again if a member did it."""
    member = sa.exists().where(
        PERSON.c.club_id == GROUP_CHAT.c.club_id,
        PERSON.c.telegram_id == by,
        PERSON.c.left_at.is_(None),
    )
    tx.execute(
        sa.update(GROUP_CHAT).where(GROUP_CHAT.c.chat_id == chat_id, member).values(removed_at=None)
    )
