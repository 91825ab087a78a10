"""Delivers updates to a loopback address, as the platform does to a webhook.

After the open server (github.com/tdlib/telegram-bot-api, WebhookActor): anything but a 2xx is
tried again with a doubling pause, Retry-After is honoured, a 2xx answer with "method" in it is
carried out as a request.
"""

from __future__ import annotations

import asyncio
import ipaddress
import json
from collections.abc import Awaitable, Callable
from datetime import datetime
from typing import Any
from urllib.parse import urlsplit

import aiohttp

from .updates import UpdateQueue, Waiting

SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"
FIRST_PAUSE = 1.0
LONGEST_PAUSE = 60.0
LONGEST_RETRY_AFTER = 3600.0
PATIENCE = aiohttp.ClientTimeout(total=60)
Execute = Callable[[str, dict[str, Any]], Awaitable[Any]]


def loopback_host(host: str | None) -> bool:
    """True for localhost and the loopback addresses."""
    if host is None:
        return False
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def loopback_url(url: str) -> bool:
    """True for an http(s) address on this machine."""
    parts = urlsplit(url)
    return parts.scheme in ("http", "https") and loopback_host(parts.hostname)


class Webhook:
    """Where updates are posted, and how that went; one at a time, in order."""

    def __init__(
        self,
        updates: UpdateQueue,
        now: Callable[[], datetime],
        execute: Execute,
        first_pause: float = FIRST_PAUSE,
    ) -> None:
        self.url = ""
        self.secret = ""
        self.max_connections = 40
        self.last_error = ""
        self.last_error_date = 0
        self.deliveries = 0
        self.first_pause = first_pause
        self._updates = updates
        self._now = now
        self._execute = execute
        self._task: asyncio.Task[None] | None = None
        self._news = asyncio.Event()
        updates.added = self._news.set

    def start(self, url: str, secret: str, max_connections: int) -> None:
        """From now on updates go there."""
        self.stop()
        self.url, self.secret, self.max_connections = url, secret, max_connections
        self._updates.webhook = True
        self._task = asyncio.get_running_loop().create_task(self._run())

    def stop(self) -> None:
        """Updates wait for getUpdates again."""
        self.url = self.secret = self.last_error = ""
        self._updates.webhook = False
        if self._task:
            self._task.cancel()
            self._task = None

    async def finish(self) -> None:
        """Stops, and returns when nothing is under way any more."""
        task = self._task
        self.stop()
        if task:
            await asyncio.gather(task, return_exceptions=True)

    async def _run(self) -> None:
        async with aiohttp.ClientSession(timeout=PATIENCE) as session:
            pause = self.first_pause
            while True:
                self._updates.expire()
                if not self._updates.waiting:
                    self._news.clear()
                    await self._news.wait()
                    continue
                update = self._updates.waiting[0]
                wait = await self._deliver(session, update, pause)
                if wait is None:
                    pause = self.first_pause
                    if update in self._updates.waiting:
                        self._updates.waiting.remove(update)
                    continue
                pause = min(2 * pause, LONGEST_PAUSE)
                await asyncio.sleep(wait)

    async def _deliver(
        self, session: aiohttp.ClientSession, update: Waiting, pause: float
    ) -> float | None:
        """Posts one update; None when it arrived, otherwise the seconds until the next try."""
        headers = {SECRET_HEADER: self.secret} if self.secret else {}
        self.deliveries += 1
        try:
            async with session.post(self.url, json=update.body, headers=headers) as answer:
                body = await answer.read()
                if 200 <= answer.status < 300:
                    await self._carry_out(body)
                    return None
                self._failed(f"Wrong response from the webhook: {answer.status} {answer.reason}")
                asked = answer.headers.get("Retry-After", "")
                return min(float(asked), LONGEST_RETRY_AFTER) if asked.isdigit() else pause
        except (aiohttp.ClientError, TimeoutError) as error:
            self._failed(f"Connection failed: {type(error).__name__}")
            return pause

    async def _carry_out(self, body: bytes) -> None:
        try:
            wanted = json.loads(body)
        except ValueError:
            return
        if isinstance(wanted, dict) and isinstance(wanted.get("method"), str):
            method = wanted.pop("method")
            await self._execute(method, wanted)

    def _failed(self, reason: str) -> None:
        self.last_error = reason
        self.last_error_date = int(self._now().timestamp())
