"""Updates from the fetch to the end of their handling: none is lost, none stops the others.

A fetched batch is committed to the inbox before the platform is told to forget it. Each update is
then parsed and handled by itself, and marked done after it was answered. The marks are collected
and committed with the next batch, so that handling costs no commit of its own; what a crash leaves
unmarked is handled again, and its effect, if it has one, is found and answered again.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import AbstractAsyncContextManager
from datetime import datetime, timedelta
from typing import Any, NamedTuple, Protocol, TypeGuard, TypeVar

from telegram import Update
from telegram.ext import Application

from clubbot.chat.dispatch import Dispatcher

R = TypeVar("R")
AnyApplication = Application[Any, Any, Any, Any, Any, Any]
log = logging.getLogger(__name__)

ALLOWED = (
    Update.MESSAGE,
    Update.EDITED_MESSAGE,
    Update.CALLBACK_QUERY,
    Update.MY_CHAT_MEMBER,
)
"""The platform keeps the last list that it was given, so it is given this one every time."""

MARK_AFTER = 0.5
"""Seconds: so long a mark waits for a batch that takes it along."""

ROOM = 200
"""With so many in memory nothing more is fetched: the platform keeps it better."""

NOTED_EVERY = timedelta(hours=1)
_BIGGEST = 2**63


class Fetched(NamedTuple):
    """An update as the platform sent it; those with the same `chat` are handled in order."""

    update_id: int
    chat: int
    body: Mapping[str, Any]


class Inbox(Protocol):
    """Where updates are kept. Each call is one transaction, and may wait for the database."""

    def keep(
        self, batch: Sequence[tuple[int, int, Mapping[str, Any]]], done: Sequence[int], at: datetime
    ) -> Collection[int]:
        """Commit a batch and the end of earlier ones; return the ids that are new."""

    def waiting(self) -> Iterable[tuple[int, int, Mapping[str, Any]]]:
        """Return what an earlier run left unfinished, in order."""

    def set_aside(self, update_id: int) -> None:
        """Keep one that can't be read, without offering it again."""


class Intake:
    """Takes raw updates, keeps them, and has the application handle each.

    `outage` is what the inbox raises while the database can't be used; `handled` is called after
    every update; `worker` runs the inbox's transactions, one at a time.
    """

    def __init__(
        self,
        application: AnyApplication,
        inbox: Inbox,
        *,
        now: Callable[[], datetime],
        worker: Executor,
        outage: type[Exception],
        handled: Callable[[], None] = lambda: None,
    ) -> None:
        self._application = application
        self._inbox = inbox
        self._now = now
        self._worker = worker
        self._outage = outage
        self._handled = handled
        self._dispatcher = Dispatcher(self._handle)
        self._keeping = asyncio.Lock()
        self._done: list[int] = []
        self._marking: asyncio.Task[None] | None = None
        self._noted: datetime | None = None

    def step_aside(self) -> AbstractAsyncContextManager[None]:
        """Let another chat's update be handled while the present one only waits."""
        return self._dispatcher.step_aside()

    async def replay(self) -> int:
        """Begin with what an earlier run left in the inbox; return how many there were."""
        left = [Fetched(*each) for each in await self._in_worker(self._inbox.waiting)]
        for each in left:
            self._dispatcher.put(each.chat, each)
        return len(left)

    async def take(self, raw: Iterable[object]) -> int | None:
        """Keep a batch, have it handled, and return the highest id in it, now safe to confirm.

        What is no update is logged and left out. Raises `outage` where nothing could be kept.
        """
        batch = list({each.update_id: each for each in map(_read, raw) if each}.values())
        if not batch:
            return None
        async with self._keeping:
            new = await self._keep(batch)
            for each in batch:
                if each.update_id in new:
                    self._dispatcher.put(each.chat, each)
        return max(each.update_id for each in batch)

    async def nothing_new(self) -> None:
        """Note now and then that the platform had nothing: a quiet weekend is no outage."""
        if self._noted is None or self._now() - self._noted >= NOTED_EVERY:
            async with self._keeping:
                await self._keep([])

    async def room(self) -> None:
        """Return when there is room for another batch."""
        await self._dispatcher.below(ROOM)

    async def idle(self) -> None:
        """Return when everything taken so far is handled, and marked as such."""
        while self._dispatcher.pending or self._done:
            await self._dispatcher.below(1)
            await self._mark()

    async def stop(self, seconds: float) -> None:
        """Finish what is in hand, for at most so long; the rest stays in the inbox."""
        await self._dispatcher.stop(seconds)
        if self._marking:
            self._marking.cancel()
        try:
            await self._mark()
        except self._outage as error:
            log.error(
                "Updates that are done could not be marked, and will be looked at again: %s", error
            )

    async def _handle(self, fetched: Fetched) -> None:
        try:
            update = Update.de_json(dict(fetched.body), self._application.bot)
        except Exception as error:
            log.error(
                "Update %d can't be read and is set aside: %s", fetched.update_id, _why(error)
            )
            await self._set_aside(fetched.update_id)
            return
        try:
            await self._application.process_update(update)
        except Exception:
            log.exception("Update %d was not handled and is set aside", fetched.update_id)
            await self._set_aside(fetched.update_id)
            return
        self._done.append(fetched.update_id)
        if self._marking is None:
            self._marking = asyncio.create_task(self._mark_later())
        self._handled()

    async def _set_aside(self, update_id: int) -> None:
        try:
            await self._in_worker(self._inbox.set_aside, update_id)
        except self._outage as error:
            log.error("Update %d will be looked at again: %s", update_id, error)
        except Exception:
            log.exception("Update %d will be looked at again", update_id)

    async def _mark_later(self) -> None:
        while self._done:
            await asyncio.sleep(MARK_AFTER)
            try:
                await self._mark()
            except self._outage as error:
                log.debug("Marks wait: %s", error)
            except Exception:
                log.exception("Updates that are done could not be marked")
        self._marking = None

    async def _mark(self) -> None:
        async with self._keeping:
            if self._done:
                await self._keep([])

    async def _keep(self, batch: Sequence[Fetched]) -> Collection[int]:
        done, self._done, at = self._done, [], self._now()
        try:
            new = await self._in_worker(self._inbox.keep, batch, done, at)
        except BaseException:
            self._done = done + self._done
            raise
        self._noted = at
        return new

    async def _in_worker(self, function: Callable[..., R], *args: object) -> R:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._worker, function, *args)


def _read(raw: object) -> Fetched | None:
    update_id = raw.get("update_id") if isinstance(raw, dict) else None
    if not isinstance(raw, dict) or not _is_id(update_id) or update_id < 0:
        log.error("Something that is no update was left out: it has no usable update_id")
        return None
    return Fetched(update_id, _chat(raw), raw)


def _chat(raw: Mapping[str, Any]) -> int:
    """Return the chat that an update belongs to, or its person, or 0 for what has neither."""
    for part in raw.values():
        if isinstance(part, dict):
            for path in (("chat",), ("message", "chat"), ("from",), ("user",)):
                place: Any = part
                for name in path:
                    place = place.get(name) if isinstance(place, dict) else None
                if isinstance(place, dict) and _is_id(found := place.get("id")):
                    return found
    return 0


def _is_id(value: object) -> TypeGuard[int]:
    return type(value) is int and -_BIGGEST <= value < _BIGGEST


def _why(error: Exception) -> str:
    """Return an error's text where it holds names only, else its kind: no log repeats a message."""
    name = type(error).__name__
    return f"{name}: {error}" if isinstance(error, KeyError | TypeError) else name
