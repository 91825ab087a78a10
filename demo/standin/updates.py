"""The queue of updates, with the platform's rules for offsets, limits and long polls.

The rules are those of the open server (github.com/tdlib/telegram-bot-api, Client.cpp,
do_get_updates and process_get_updates_query): an update is confirmed when a later call asks for
a higher offset; a negative offset keeps that many of the newest; an offset beyond the newest
counts as none; the same offset within half a second gets one update, within three seconds waits
at least three (only with `throttle`); a poll that has to wait ends another that waits with 409;
messages wait until a day after they were written, taps for 150 seconds.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from .errors import ApiError, conflict
from .faults import Faults, Kind

DAY = timedelta(days=1)
TAP_LIFE = timedelta(seconds=150)
MAX_TIMEOUT = 50
MAX_LIMIT = 100
FIRST_UPDATE_ID = 500_000_001
ON_REQUEST_ONLY = frozenset({"chat_member", "message_reaction", "message_reaction_count"})
OTHER_POLL = (
    "terminated by other getUpdates request; make sure that only one bot instance is running"
)
KINDS = frozenset(
    {
        "message", "edited_message", "channel_post", "edited_channel_post",
        "business_connection", "business_message", "edited_business_message",
        "deleted_business_messages", "message_reaction", "message_reaction_count",
        "inline_query", "chosen_inline_result", "callback_query", "shipping_query",
        "pre_checkout_query", "purchased_paid_media", "poll", "poll_answer", "my_chat_member",
        "chat_member", "chat_join_request", "chat_boost", "removed_chat_boost",
    }
)  # fmt: skip


@dataclass(slots=True, eq=False)
class Waiting:
    """An update that wasn't confirmed yet."""

    id: int
    body: dict[str, Any]
    until: datetime
    again: bool = False
    """It was confirmed already and has to be served once more all the same."""


@dataclass(slots=True)
class UpdateQueue:
    """Updates in the order in which they are served."""

    now: Callable[[], datetime]
    faults: Faults
    next_id: int = FIRST_UPDATE_ID
    allowed: frozenset[str] = KINDS - ON_REQUEST_ONLY
    waiting: list[Waiting] = field(default_factory=list)
    polls: int = 0
    webhook: bool = False
    closed: bool = False
    throttle: bool = False
    """Whether a poll that repeats an offset within three seconds waits for three, as it would."""
    last_offset: int = 0
    added: Callable[[], None] = lambda: None
    """Called when there is something new to deliver by webhook."""
    polled: Callable[[], None] = lambda: None
    """Called when a poll has come in."""
    _poll: asyncio.Future[None] | None = None
    _previous: tuple[int, float] = (-1, 0.0)
    _held_back: Waiting | None = None

    @property
    def polling(self) -> bool:
        """True while a long poll waits for something to happen."""
        return self._poll is not None and not self._poll.done()

    def allow(self, kinds: list[str] | None) -> None:
        """Stores what the bot wants to hear of; None keeps what was stored, [] is the default."""
        if kinds is None:
            return
        known = frozenset(str(kind).lower() for kind in kinds) & KINDS
        self.allowed = known or KINDS - ON_REQUEST_ONLY

    def add(
        self, kind: str, payload: dict[str, Any], born: datetime | None = None
    ) -> dict[str, Any] | None:
        """Queues an update and returns it, or None when the platform wouldn't serve it."""
        now = self.now()
        if kind not in self.allowed or (born and now - born >= DAY):
            return None
        life = TAP_LIFE if kind == "callback_query" else DAY
        body = {"update_id": self.next_id, kind: payload}
        return self.add_raw(body, (born or now) + life)

    def add_raw(self, body: dict[str, Any], until: datetime | None = None) -> dict[str, Any]:
        """Queues a whole update as it is; one without an id gets the next."""
        body.setdefault("update_id", self.next_id)
        self.next_id = max(self.next_id, body["update_id"] + 1)
        update = Waiting(body["update_id"], body, until or self.now() + DAY)
        held, self._held_back = self._held_back, None
        if held is None and self.faults.take_update(Kind.SWAP_UPDATES):
            self._held_back = update
            return body
        self.waiting.append(update)
        if held:
            self.waiting.append(held)
        if self.faults.take_update(Kind.DUPLICATE_UPDATE):
            self.waiting.append(Waiting(update.id, body, update.until, again=True))
        self.wake()
        return body

    def wake(self) -> None:
        """Ends a waiting long poll, and starts a delivery by webhook."""
        if self._poll and not self._poll.done():
            self._poll.set_result(None)
        self.added()

    def end_poll(self, reason: str) -> None:
        """Ends a waiting long poll with a 409."""
        if self._poll and not self._poll.done():
            self._poll.set_exception(conflict(reason))

    def close(self) -> None:
        """Ends a waiting long poll because the server goes away."""
        self.closed = True
        if self._poll and not self._poll.done():
            self._poll.set_exception(ApiError(500, "Internal Server Error: restart"))

    def drop(self) -> None:
        """Forgets all that waits."""
        self.waiting.clear()

    def expire(self) -> None:
        """Forgets what has waited for too long."""
        now = self.now()
        self.waiting = [update for update in self.waiting if update.until > now]

    async def fetch(self, offset: int, limit: int, timeout: int) -> list[dict[str, Any]]:  # noqa: ASYNC109
        """The answer to getUpdates; waits up to `timeout` real seconds for something to come."""
        if self.webhook:
            raise conflict(
                "can't use getUpdates method while webhook is active;"
                " use deleteWebhook to delete the webhook first"
            )
        loop = asyncio.get_running_loop()
        if offset == self._previous[0]:
            since = loop.time() - self._previous[1]
            timeout = max(timeout, 3) if since < 3 and self.throttle else timeout
            limit = 1 if since < 0.5 else limit
        self._previous = (offset, loop.time())
        self.polls += 1
        self.last_offset = offset
        self._confirm(offset)
        self.polled()
        if not self.waiting and timeout:
            self.end_poll(OTHER_POLL)
            await self._wait(timeout)
            self._confirm(offset)
        return self._serve(limit)

    async def _wait(self, timeout: int) -> None:  # noqa: ASYNC109
        self._poll = poll = asyncio.get_running_loop().create_future()
        try:
            await asyncio.wait_for(poll, timeout)
        except TimeoutError:
            return
        finally:
            if self._poll is poll:
                self._poll = None

    def _confirm(self, offset: int) -> None:
        self.expire()
        if offset < 0:
            offset += self.next_id
        if offset <= self.next_id:
            self.waiting = [u for u in self.waiting if u.id >= offset or u.again]

    def _serve(self, limit: int) -> list[dict[str, Any]]:
        served: list[Waiting] = []
        for update in self.waiting:
            # A repeat comes in a poll of its own: within one answer ids are unique.
            if len(served) == limit or any(update.id == other.id for other in served):
                break
            served.append(update)
        for update in served:
            update.again = False
        return [update.body for update in served]
