"""The one way from the chat to the desk: who asks, in a worker thread, outages answered kindly."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, Protocol

from telegram import Update

from clubbot.desk.acting import Answer, Asking, stranger_view
from clubbot.desk.outages import StoreUnavailable
from clubbot.rules.model import Reason, Refused

log = logging.getLogger(__name__)

PAUSES = (0.2, 0.5, 1.0, 2.0, 4.0)
"""Seconds between tries while the database can't be used; after the last the person is told."""


class Now(Protocol):
    def now(self) -> datetime: ...


class Gate:
    """Turns an update into a question for the desk and runs it there.

    A deed's effect is committed before its result comes back, so that what is answered holds.
    """

    def __init__(self, store: Any, clock: Now, bot_id: int, username: str = "") -> None:
        self._store = store
        self._clock = clock
        self._bot_id = bot_id
        self._username = username

    def asking(self, update: Update) -> Asking | None:
        """Return who asks, where and when; None for what no person in a chat has sent."""
        person, chat = update.effective_user, update.effective_chat
        if person is None or chat is None or person.is_bot:
            return None
        now = self._clock.now()
        message = update.message
        return Asking(
            bot_id=self._bot_id,
            update_id=update.update_id,
            telegram_id=person.id,
            chat_id=chat.id,
            private=chat.id > 0,
            said_at=message.date.astimezone(UTC) if message else now,
            now=now,
        )

    async def run(self, function: Callable[..., Answer], asking: Asking, *args: Any) -> Answer:
        """Run a use case of the desk for this person; an outage is an answer too."""
        for pause in (*PAUSES, None):
            try:
                answer = await asyncio.to_thread(function, self._store, asking, *args)
            except StoreUnavailable as error:
                log.error("A person has to wait: %s", error)
                if pause is None:
                    break
                await asyncio.sleep(pause)
            else:
                return answer._replace(view=answer.view._replace(bot=self._username))
        return Answer(Refused(Reason.OUTAGE), stranger_view(asking))

    async def note(self, function: Callable[..., object], *args: Any) -> None:
        """Tell the desk something that nobody waits for an answer to."""
        try:
            await asyncio.to_thread(function, self._store, *args)
        except StoreUnavailable as error:
            log.error("Not noted: %s", error)
