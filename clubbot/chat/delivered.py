"""What has just been sent to people, on its way into the store, and the buttons to type.

Nothing waits for it: what was sent is noted a moment later, many messages in one transaction.
"""

from __future__ import annotations

import asyncio
import logging
from collections import OrderedDict
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from clubbot.chat.words.phrases import Reply
from clubbot.desk.minding import Delivered
from clubbot.desk.outages import StoreUnavailable

log = logging.getLogger(__name__)

EVERY = 1.0
"""Seconds between two batches; what a crash can lose of them."""
MOST_WAITING = 5_000
MOST_CHATS = 2_000
TYPED_WITHIN = timedelta(days=1)
"""How long a button's text can be typed instead of tapping it."""

Buttons = Sequence[tuple[str, str]]


class DeliveryBook:
    """Takes note of every message that arrived in a private chat."""

    def __init__(
        self,
        note: Callable[[Sequence[Delivered]], None],
        now: Callable[[], datetime],
        before: dict[int, tuple[datetime, Buttons]],
    ) -> None:
        self._note, self._now = note, now
        self._waiting: list[Delivered] = []
        self._buttons = OrderedDict(before)
        self._busy = asyncio.Lock()

    def took(self, chat_id: int, reply: Reply, club: int | None = None) -> None:
        """Note that a message arrived; with a club, it is a notice that nobody asked for."""
        if chat_id <= 0 or len(self._waiting) >= MOST_WAITING:
            return
        shown = [(each.text, each.data) for row in reply.buttons for each in row if each.data]
        at = self._now()
        self._waiting.append(Delivered(chat_id, reply.text, at, club, club is None, shown))  # type: ignore[arg-type]
        if shown:
            self._buttons[chat_id] = at, shown
            self._buttons.move_to_end(chat_id)
            if len(self._buttons) > MOST_CHATS:
                self._buttons.popitem(last=False)

    def typed(self, chat_id: int, text: str) -> str | None:
        """Return what is behind the button of this text, where it is among the newest there."""
        at, shown = self._buttons.get(chat_id, (None, ()))
        if at is None or self._now() - at > TYPED_WITHIN:
            return None
        said = " ".join(text.split()).casefold().rstrip(".!")
        found = [data for label, data in shown if label.casefold().rstrip(".!?") == said]
        return found[0] if len(found) == 1 else None

    async def flush(self) -> None:
        """Hand over all that waits."""
        async with self._busy:
            batch, self._waiting = self._waiting, []
            if not batch:
                return
            try:
                await asyncio.to_thread(self._note, batch)
            except StoreUnavailable as error:
                self._waiting = batch + self._waiting
                log.error("What was sent isn't noted yet: %s", error)

    async def run(self) -> None:
        """Hand over what waits every now and then, until cancelled."""
        while True:
            await asyncio.sleep(EVERY)
            await self.flush()
