"""The platform's limits on sending, kept across all chats: the most urgent goes first."""

from __future__ import annotations

import asyncio
import bisect
import itertools
import time
from collections import defaultdict, deque
from enum import IntEnum

from telegram.constants import FloodLimit


class Urgency(IntEnum):
    """Who goes first when not all can go at once."""

    DANGER = 0
    REPLY = 1
    REMINDER = 2


DEFAULT_PER_SECOND = float(FloodLimit.MESSAGES_PER_SECOND) * 0.8
"""A little under what the platform is known to bear, since its own count starts elsewhere."""

_Waiter = tuple[Urgency, int, int, "asyncio.Future[None]"]


class _Window:
    """At most `number` in any span of `seconds`."""

    def __init__(self, number: int, seconds: float) -> None:
        self._seconds = seconds
        self._taken: deque[float] = deque(maxlen=number)

    def ready_at(self) -> float:
        full = len(self._taken) == self._taken.maxlen
        return self._taken[0] + self._seconds if full else 0.0

    def take(self, now: float) -> None:
        self._taken.append(now)


class Pace:
    """Gives everybody who wants to send a turn, so that no limit is passed."""

    def __init__(self, per_second: float = DEFAULT_PER_SECOND) -> None:
        number = max(1, int(per_second))
        self._all = _Window(number, number / per_second)
        self._groups: defaultdict[int, _Window] = defaultdict(
            lambda: _Window(int(FloodLimit.MESSAGES_PER_MINUTE_PER_GROUP), 60.0)
        )
        self._order = itertools.count()
        self._waiting: list[_Waiter] = []
        self._changed = asyncio.Event()
        self._usher: asyncio.Task[None] | None = None

    async def turn(self, chat_id: int, urgency: Urgency) -> None:
        """Return when a message to this chat may go out."""
        if not self._waiting and self._take(chat_id, time.monotonic()):
            return
        mine = asyncio.get_running_loop().create_future()
        bisect.insort(self._waiting, (urgency, next(self._order), chat_id, mine))
        self._changed.set()
        if self._usher is None or self._usher.done():
            self._usher = asyncio.create_task(self._give_turns())
        await mine

    async def _give_turns(self) -> None:
        while self._waiting:
            self._changed.clear()
            if not self._give_one(time.monotonic()):
                wait = max(0.0, self._next_at() - time.monotonic())
                try:
                    async with asyncio.timeout(wait):
                        await self._changed.wait()
                except TimeoutError:
                    continue

    def _give_one(self, now: float) -> bool:
        self._waiting = [each for each in self._waiting if not each[3].cancelled()]
        for place, (_, _, chat_id, future) in enumerate(self._waiting):
            if self._take(chat_id, now):
                del self._waiting[place]
                future.set_result(None)
                return True
        return not self._waiting

    def _take(self, chat_id: int, now: float) -> bool:
        windows = self._windows(chat_id)
        if any(window.ready_at() > now for window in windows):
            return False
        for window in windows:
            window.take(now)
        return True

    def _windows(self, chat_id: int) -> list[_Window]:
        return [self._all, self._groups[chat_id]] if chat_id < 0 else [self._all]

    def _next_at(self) -> float:
        return min(
            max(window.ready_at() for window in self._windows(chat_id))
            for _, _, chat_id, _ in self._waiting
        )
