"""Updates: kept when fetched, gone when handled, and each with one effect at most.

The platform forgets an update as soon as it is confirmed, so it is confirmed only when it is in
the inbox. The effect of one is recorded in the effect's own transaction (`record`), and what is
done is remembered for a few days, so that the same update delivered again changes nothing.
Ids are compared one by one and never by size: the platform may start again from any number.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from clubbot.store.engine import Store, inserting
from clubbot.store.prepared import Prepared
from clubbot.store.tables import Bot, HandledUpdate
from clubbot.store.tables import Inbox as InboxRow

INBOX = InboxRow.__table__  # type: ignore[attr-defined]
HANDLED = HandledUpdate.__table__  # type: ignore[attr-defined]
BOT = Bot.__table__  # type: ignore[attr-defined]

REMEMBERED = timedelta(days=3)
"""The platform delivers nothing older than a day, and starts new ids after a quiet week."""

SET_ASIDE = 1
"""The value of `tries` for an update that can't be read; zero for those that wait."""


def earlier(tx: Connection, bot_id: int, update_id: int) -> str | None:
    """Return the stored result of this update's effect, or None where it had none yet."""
    return tx.execute(_EARLIER, {"b_bot": bot_id, "b_update": update_id}).scalar_one_or_none()


def record(tx: Connection, bot_id: int, update_id: int, at: datetime, result: str) -> None:
    """Say that this update's effect is part of this transaction; `result` is JSON."""
    _RECORD.rows(tx, bot_id=bot_id, update_id=update_id, at=at, result=result)


def forget(tx: Connection, now: datetime) -> None:
    """Delete what is remembered of updates that are older than REMEMBERED."""
    before = now - REMEMBERED
    tx.execute(sa.delete(HANDLED).where(HANDLED.c.at < before))
    tx.execute(sa.delete(INBOX).where(INBOX.c.tries == SET_ASIDE, INBOX.c.received_at < before))


_RECORD = Prepared(sa.insert(HANDLED), columns=("bot_id", "update_id", "at", "result"))
_EARLIER = sa.select(HANDLED.c.result).where(
    HANDLED.c.bot_id == sa.bindparam("b_bot"), HANDLED.c.update_id == sa.bindparam("b_update")
)


Raw = tuple[int, int, Mapping[str, Any]]
"""An update's id, the chat whose updates are handled in order, and the update as it was sent."""


class Inbox:
    """One bot's updates between the fetch and the end of their handling."""

    def __init__(self, store: Store, bot_id: int) -> None:
        self._store = store
        self._bot_id = bot_id
        self._add_handled = inserting(store.engine.dialect, HANDLED).on_conflict_do_nothing()

    def arrive(self, username: str, now: datetime) -> datetime | None:
        """Note that the bot is here; return when it was last, or None at the first time."""
        with self._store.write() as tx:
            mine = BOT.c.id == self._bot_id
            seen = tx.execute(sa.select(BOT.c.seen_at).where(mine)).one_or_none()
            if seen is None:
                values = {"id": self._bot_id, "username": username, "seen_at": now}
                tx.execute(sa.insert(BOT), values)
                return None
            tx.execute(sa.update(BOT).where(mine).values(username=username, seen_at=now))
            return seen.seen_at  # type: ignore[no-any-return]

    def keep(self, batch: Sequence[Raw], done: Sequence[int], at: datetime) -> set[int]:
        """Commit a fetched batch and the end of earlier ones; return the ids that are new.

        An id that waits, or was done within REMEMBERED, is not new.
        """
        with self._store.write() as tx:
            self._finish(tx, done, at)
            new = {each[0] for each in batch}
            if new:
                new -= self._known(tx, list(new))
            if new:
                rows = [self._row(each, at) for each in batch if each[0] in new]
                tx.execute(sa.insert(INBOX), rows)
            tx.execute(sa.update(BOT).where(BOT.c.id == self._bot_id).values(seen_at=at))
        return new

    def waiting(self) -> list[Raw]:
        """Return what an earlier run fetched and did not finish, in order of arrival."""
        with self._store.read() as tx:
            rows = tx.execute(
                sa.select(INBOX.c.update_id, INBOX.c.chat, INBOX.c.body)
                .where(INBOX.c.bot_id == self._bot_id, INBOX.c.tries < SET_ASIDE)
                .order_by(INBOX.c.received_at, INBOX.c.update_id)
            ).all()
        return [(row.update_id, row.chat, json.loads(row.body)) for row in rows]

    def set_aside(self, update_id: int) -> None:
        """Keep an update that can't be read, without offering it again."""
        with self._store.write() as tx:
            tx.execute(
                sa.update(INBOX)
                .where(INBOX.c.bot_id == self._bot_id, INBOX.c.update_id == update_id)
                .values(tries=SET_ASIDE)
            )

    def _finish(self, tx: Connection, done: Sequence[int], at: datetime) -> None:
        if not done:
            return
        rows = [{"bot_id": self._bot_id, "update_id": each, "at": at} for each in done]
        tx.execute(self._add_handled, rows)
        tx.execute(
            sa.delete(INBOX).where(INBOX.c.bot_id == self._bot_id, INBOX.c.update_id.in_(done))
        )

    def _known(self, tx: Connection, ids: Sequence[int]) -> set[int]:
        known = [
            sa.select(table.c.update_id).where(
                table.c.bot_id == self._bot_id, table.c.update_id.in_(ids)
            )
            for table in (INBOX, HANDLED)
        ]
        return set(tx.execute(sa.union_all(*known)).scalars())

    def _row(self, fetched: Raw, at: datetime) -> dict[str, Any]:
        update_id, chat, body = fetched
        return {
            "bot_id": self._bot_id,
            "update_id": update_id,
            "chat": chat,
            # ASCII only: half a surrogate pair or a NUL in somebody's text must not stop the batch.
            "body": json.dumps(body, separators=(",", ":")),
            "received_at": at,
            "tries": 0,
        }
