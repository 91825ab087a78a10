"""Who is next: one chat's updates in order, different chats side by side, a few at a time."""

from __future__ import annotations

import asyncio
from collections import defaultdict, deque
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from contextvars import ContextVar
from typing import Generic, TypeVar

T = TypeVar("T")

IN_FLIGHT = 8
"""More at once doesn't raise what gets through, and lowers it from about 16 on."""

_in_hand: ContextVar[bool] = ContextVar("in_hand", default=False)


class Dispatcher(Generic[T]):
    """Hands things to `handle`, which must not raise; things with the same key in order."""

    def __init__(self, handle: Callable[[T], Awaitable[None]], in_flight: int = IN_FLIGHT) -> None:
        self._handle = handle
        self._places = asyncio.Semaphore(in_flight)
        self._queues: defaultdict[int, deque[T]] = defaultdict(deque)
        self._tasks: set[asyncio.Task[None]] = set()
        self._changed = asyncio.Event()
        self._stopping = False
        self.pending = 0
        """How many were put and are not yet handled."""

    def put(self, key: int, thing: T) -> None:
        """Take one; it is handled after everything put earlier with this key."""
        self.pending += 1
        queue = self._queues[key]
        queue.append(thing)
        if len(queue) == 1:
            task = asyncio.create_task(self._work_off(key, queue))
            self._tasks.add(task)
            task.add_done_callback(self._tasks.discard)

    async def below(self, number: int) -> None:
        """Return as soon as fewer than `number` are pending."""
        while self.pending >= number:
            self._changed.clear()
            await self._changed.wait()

    @asynccontextmanager
    async def step_aside(self) -> AsyncIterator[None]:
        """Let another chat's update be handled while the present one only waits."""
        if not _in_hand.get():
            yield
            return
        self._places.release()
        try:
            yield
        finally:
            await self._places.acquire()

    async def stop(self, seconds: float) -> None:
        """Finish what is in hand, for at most so long; begin nothing more."""
        self._stopping = True
        if self._tasks:
            _, late = await asyncio.wait(self._tasks, timeout=seconds)
            for task in late:
                task.cancel()
            await asyncio.gather(*late, return_exceptions=True)

    async def _work_off(self, key: int, queue: deque[T]) -> None:
        while queue:
            async with self._places:
                if self._stopping:
                    return
                _in_hand.set(True)
                await self._handle(queue[0])
            queue.popleft()
            self.pending -= 1
            self._changed.set()
        del self._queues[key]
