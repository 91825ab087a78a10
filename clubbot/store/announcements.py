"""Messages owed to groups, each once, whatever restarts and second processes there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store.engine import Tx, inserting
from clubbot.store.tables import ANNOUNCEMENT, GROUP_CHAT

KEY = ("club_id", "group_id", "kind", "occurrence")


@dataclass(frozen=True, slots=True)
class AnnouncementRow:
    """An announcement with the chat that it goes to; None where the bot is no longer in it."""

    id: int
    club: ClubId
    chat_id: int | None
    topic: int | None
    kind: str
    facts: Mapping[str, Any]
    useful_until: datetime
    tries: int


def add(
    tx: Tx,
    club: ClubId,
    group_ids: Iterable[int],
    kind: str,
    occurrence: str,
    facts: Mapping[str, Any],
    now: datetime,
    useful_until: datetime,
) -> None:
    """Owe groups a message, once."""
    rows = [
        {
            "club_id": club,
            "group_id": group,
            "kind": kind,
            "occurrence": occurrence,
            "facts": dict(facts),
            "due_at": now,
            "useful_until": useful_until,
            "state": "waiting",
            "tries": 0,
        }
        for group in group_ids
    ]
    if rows:
        tx.execute(
            inserting(tx.dialect, ANNOUNCEMENT)
            .values(rows)
            .on_conflict_do_nothing(index_elements=list(KEY))
        )


_OPEN = ANNOUNCEMENT.c.state.in_(("waiting", "sending"))


def lease(
    tx: Tx, now: datetime, real: datetime, until: datetime, limit: int
) -> list[AnnouncementRow]:
    """Take what is owed by `now`: no other sender gets it before `until`, in real time."""
    free = sa.or_(ANNOUNCEMENT.c.lease_until.is_(None), ANNOUNCEMENT.c.lease_until < real)
    wanted = (
        sa.select(ANNOUNCEMENT, GROUP_CHAT.c.chat_id, GROUP_CHAT.c.topic, GROUP_CHAT.c.removed_at)
        .join_from(ANNOUNCEMENT, GROUP_CHAT, GROUP_CHAT.c.id == ANNOUNCEMENT.c.group_id)
        .where(_OPEN, ANNOUNCEMENT.c.due_at <= now, free)
        .order_by(ANNOUNCEMENT.c.due_at, ANNOUNCEMENT.c.id)
        .limit(limit)
    )
    if tx.dialect.name != "sqlite":
        wanted = wanted.with_for_update(of=ANNOUNCEMENT, skip_locked=True)
    rows = tx.execute(wanted).all()
    if rows:
        tx.execute(
            sa.update(ANNOUNCEMENT)
            .where(ANNOUNCEMENT.c.id.in_([row.id for row in rows]))
            .values(state="sending", lease_until=until, tries=ANNOUNCEMENT.c.tries + 1)
        )
    return [
        AnnouncementRow(
            row.id,
            row.club_id,
            row.chat_id if row.removed_at is None else None,
            row.topic,
            row.kind,
            row.facts,
            row.useful_until,
            row.tries,
        )
        for row in rows
    ]


def mark(tx: Tx, number: int, **values: Any) -> None:
    """Change the state of an announcement."""
    tx.execute(sa.update(ANNOUNCEMENT).where(ANNOUNCEMENT.c.id == number).values(**values))


def release(tx: Tx) -> None:
    """Let go of what a sender held that is surely no more."""
    held = ANNOUNCEMENT.c.state == "sending"
    tx.execute(sa.update(ANNOUNCEMENT).where(held).values(lease_until=None))


def owed(tx: Tx, now: datetime) -> int:
    """Return how many announcements wait to be sent by this moment."""
    found = sa.select(sa.func.count()).select_from(ANNOUNCEMENT)
    return int(tx.execute(found.where(_OPEN, ANNOUNCEMENT.c.due_at <= now)).scalar_one())


def forget(tx: Tx, before: datetime) -> None:
    """Delete what was settled before then."""
    tx.execute(sa.delete(ANNOUNCEMENT).where(sa.not_(_OPEN), ANNOUNCEMENT.c.due_at < before))
