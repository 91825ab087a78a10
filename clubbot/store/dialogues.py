"""Where a conversation stands, so that a restart in its middle loses nothing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy as sa

from clubbot.store.engine import Tx
from clubbot.store.tables import DIALOGUE


class Standing(NamedTuple):
    """The step that a dialogue has come to and when, and what is known so far."""

    step: str
    facts: Mapping[str, Any]
    at: datetime


def standing(tx: Tx, chat_id: int, telegram_id: int, since: datetime) -> Standing | None:
    """Return where a person's dialogue in a chat stands, if it went on since then."""
    row = tx.execute(
        sa.select(DIALOGUE.c.step, DIALOGUE.c.facts, DIALOGUE.c.at).where(
            DIALOGUE.c.chat_id == chat_id,
            DIALOGUE.c.telegram_id == telegram_id,
            DIALOGUE.c.at > since,
        )
    ).first()
    return Standing(row.step, row.facts, row.at) if row else None


def put(
    tx: Tx, chat_id: int, telegram_id: int, step: str, facts: Mapping[str, Any], now: datetime
) -> None:
    """Put a person's dialogue in a chat to a step, in place of any other."""
    end(tx, chat_id, telegram_id)
    tx.execute(
        sa.insert(DIALOGUE).values(
            chat_id=chat_id, telegram_id=telegram_id, step=step, facts=dict(facts), at=now
        )
    )


_END = sa.delete(DIALOGUE).where(
    DIALOGUE.c.chat_id == sa.bindparam("chat"), DIALOGUE.c.telegram_id == sa.bindparam("person")
)


def end(tx: Tx, chat_id: int, telegram_id: int) -> None:
    """End a person's dialogue in a chat, if one stands."""
    tx.execute(_END, {"chat": chat_id, "person": telegram_id})
