"""How the platform, or a stand-in for it, is reached."""

from __future__ import annotations

import asyncio
import itertools
import logging
import os
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit
from urllib.request import getproxies, proxy_bypass

import httpx
from telegram.error import BadRequest, InvalidToken, TelegramError
from telegram.ext import Application, ApplicationBuilder

from clubbot.chat.errors import in_short, pause_asked
from clubbot.chat.intake import AnyApplication
from clubbot.chat.wire import Wire
from clubbot.settings import CannotRun, Settings

log = logging.getLogger(__name__)

CONNECTIONS = 16
"""Eight updates in hand, four reminders, and some to spare; more would be slower."""

NOT_ACCEPTED = (
    "Telegram doesn't accept CLUBBOT_TOKEN: copy it again from the chat in which you made the bot"
)


def application_for(settings: Settings) -> AnyApplication:
    """Return the library's application for the settings' token and server, not yet initialized."""
    # Errors then say how long to wait as a span of time, as all coming versions will.
    os.environ.setdefault("PTB_TIMEDELTA", "true")

    certificates = httpx.create_ssl_context()  # reading them takes as long as all the rest

    proxy = _proxy(settings.api_url)

    def line(connections: int) -> Wire:
        return Wire(connections, certificates=certificates, proxy=proxy, connect=5.0, read=15.0)

    builder: ApplicationBuilder[Any, Any, Any, Any, Any, Any] = Application.builder()
    return (
        builder.token(settings.token.get_secret_value())
        .base_url(f"{settings.api_url}/bot")
        .base_file_url(f"{settings.files}/bot")
        .request(line(CONNECTIONS))
        .get_updates_request(line(1))
        .updater(None)
        .job_queue(None)
        .build()
    )


def _proxy(url: str) -> str | None:
    """Return the proxy that the machine says to use for an address, if any."""
    there = urlsplit(url)
    if not there.hostname or proxy_bypass(there.hostname):
        return None
    return getproxies().get(there.scheme)


async def insist(call: Callable[[], Awaitable[object]], *, refused: str = "refused") -> None:
    """Ask the platform until it answers; CannotRun where its answer is a no."""
    said = ""
    for pause in itertools.chain((0.5, 1.0, 2.0, 4.0, 8.0), itertools.repeat(15.0)):
        try:
            await call()
        except BadRequest as error:
            raise CannotRun(f"{refused}: {in_short(error)}") from None
        except InvalidToken:
            raise CannotRun(refused) from None
        except TelegramError as error:
            if in_short(error) != said:
                log.warning("Telegram can't be reached (%s); trying again", in_short(error))
            said = in_short(error)
            await asyncio.sleep(max(pause, pause_asked(error)))
        else:
            return


@contextmanager
def address_in_use(setting: str, host: str, port: int) -> Iterator[None]:
    """Turn what the system says about an address into CannotRun, which names the setting."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise CannotRun(f"{setting}: can't listen on {host}:{port} ({reason})") from None
