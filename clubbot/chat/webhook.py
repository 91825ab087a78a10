"""Updates that the platform brings by itself: kept first, and only then taken with a "200"."""

from __future__ import annotations

import hmac
import json
import logging
from contextlib import AsyncExitStack
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from telegram import Bot

from clubbot.chat.intake import ALLOWED, Intake

if TYPE_CHECKING:
    from aiohttp import web

log = logging.getLogger(__name__)

BIGGEST = 2**20
"""Bytes; an update with a text of the greatest length and all its entities takes a tenth."""
SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"  # noqa: S105 - the header's name
CONNECTIONS = 8


async def announce(bot: Bot, url: str, secret: str) -> None:
    """Tell the platform where to bring updates to. What waits there is kept."""
    await bot.set_webhook(
        url, secret_token=secret, allowed_updates=ALLOWED, max_connections=CONNECTIONS
    )


async def listen(
    stack: AsyncExitStack,
    intake: Intake,
    *,
    url: str,
    secret: str,
    host: str,
    port: int,
    outage: type[Exception],
) -> None:
    """Listen until the stack is closed. OSError where the address can't be used."""
    from aiohttp import web

    async def receive(request: web.Request) -> web.Response:
        given = request.headers.get(SECRET_HEADER, "")
        if not hmac.compare_digest(given.encode(errors="replace"), secret.encode()):
            return web.Response(status=403)
        try:
            update = json.loads(await request.read())
        except ValueError:
            return web.Response(status=400)
        try:
            taken = await intake.take([update])
        except outage as error:
            log.error("An update stays at Telegram, since %s", error)
            return web.Response(status=503)
        return web.Response(status=400 if taken is None else 200)

    server = web.Application(client_max_size=BIGGEST)
    server.router.add_post(urlsplit(url).path or "/", receive)
    runner = web.AppRunner(server, access_log=None, handle_signals=False)
    await runner.setup()
    stack.push_async_callback(runner.cleanup)
    await web.TCPSite(runner, host, port).start()
