"""What happened: every call of the bot, every event that people see, and ways to wait for one."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

from .errors import ApiError

Found = TypeVar("Found")
KEPT_EVENTS = 5000


@dataclass(slots=True, eq=False)
class Call:
    """One request of the bot (getUpdates apart) and how it went."""

    method: str
    params: dict[str, Any]
    files: dict[str, bytes]
    at: datetime
    """When, by the stand-in's clock."""
    result: Any = None
    error: ApiError | None = None
    fault: str | None = None
    """The fault that struck it, if any."""
    done: bool = False
    as_page: bool = False
    """The refusal goes out as a web page, as from a proxy on the way."""

    @property
    def ok(self) -> bool:
        """True when its effect took place, whether or not the bot got the answer."""
        return self.done and self.error is None and self.fault != "drop_before"

    def __str__(self) -> str:
        outcome = self.error.description if self.error else self.fault or "ok"
        return f"{self.method}({self.params}) -> {outcome}"


@dataclass(slots=True)
class Journal:
    """Calls and events in order, and who waits for the next one."""

    calls: list[Call] = field(default_factory=list)
    events: deque[dict[str, Any]] = field(default_factory=lambda: deque(maxlen=KEPT_EVENTS))
    last_event: int = 0
    open_calls: int = 0
    _waiters: set[asyncio.Future[None]] = field(default_factory=set)

    def event(self, kind: str, **facts: Any) -> None:
        """Something that people see; numbered, for pages that follow along."""
        self.last_event += 1
        self.events.append({"seq": self.last_event, "kind": kind, **facts})
        self.touch()

    def touch(self) -> None:
        """Lets everybody who waits look again."""
        waiters, self._waiters = self._waiters, set()
        for waiter in waiters:
            if not waiter.done():
                waiter.set_result(None)

    async def changed(self, timeout: float) -> None:  # noqa: ASYNC109
        """Returns at the next change, or raises TimeoutError after `timeout` real seconds."""
        waiter = asyncio.get_running_loop().create_future()
        self._waiters.add(waiter)
        try:
            await asyncio.wait_for(waiter, timeout)
        finally:
            self._waiters.discard(waiter)

    async def wait_for(
        self,
        predicate: Callable[[], Found],
        timeout: float,  # noqa: ASYNC109
        what: str = "",
    ) -> Found:
        """The first true value of `predicate`; TimeoutError tells the last calls."""
        loop = asyncio.get_running_loop()
        end = loop.time() + timeout
        while not (found := predicate()):
            try:
                await self.changed(max(0.0, end - loop.time()))
            except TimeoutError:
                last = "\n".join(f"  {str(call)[:300]}" for call in self.calls[-8:])
                raise TimeoutError(
                    f"{what or 'it'} didn't happen within {timeout} s; last calls:\n{last}"
                ) from None
        return found

    def events_after(self, seq: int) -> list[dict[str, Any]]:
        """The events with a higher number."""
        return [event for event in self.events if event["seq"] > seq]
