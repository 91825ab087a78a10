"""The bot's own poll loop: what was fetched is confirmed only once it is kept.

The library's loop confirms updates before they are handled, and one that it can't parse stops all
behind it; so raw updates are fetched here, and parsed one by one in intake.
"""

from __future__ import annotations

import asyncio
import json
import logging
import time
from datetime import timedelta
from typing import Any

from telegram import Bot
from telegram.error import (
    BadRequest,
    Conflict,
    EndPointNotFound,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
)

from clubbot.chat.errors import in_short, pause_asked
from clubbot.chat.intake import ALLOWED, Intake

log = logging.getLogger(__name__)

LONG_POLL = 30
"""Seconds that the platform waits for something to happen before it answers "nothing"."""
MARGIN = 10
SHORT_PAUSE = 0.05
"""Seconds between two polls that don't wait."""
FIRST_PAUSE, LONGEST_PAUSE = 0.5, 30.0
KEPT_BY_PLATFORM = timedelta(hours=24)
"""The platform delivers no message that is older than this."""

_ENDPOINT = "get_updates_"
"""do_api_request takes the last underscore off, and without it would insist on its own method."""


class Polling:
    """Fetches updates until it is cancelled; `outage` is what intake raises when it can't keep.

    `patient` polls wait at the platform for something to happen. Where somebody waits for what is
    there already (`catch_up`, beside a stepped clock) short ones follow each other instead: to
    cancel one on its way would leave its connection behind.
    """

    def __init__(
        self, bot: Bot, intake: Intake, *, outage: type[Exception], patient: bool = True
    ) -> None:
        self._bot = bot
        self._intake = intake
        self._outage = outage
        self._wait = LONG_POLL if patient else 0
        self._offset: int | None = None
        self._trouble = _Trouble()
        self._asked: list[asyncio.Future[None]] = []
        self._asked_before: list[asyncio.Future[None]] = []

    async def run(self) -> None:
        """Fetch for ever. Raises InvalidToken when the platform doesn't accept the token."""
        while True:
            await self._intake.room()
            try:
                found = await self._fetch()
                highest = await self._intake.take(found)
                if not found:
                    await self._intake.nothing_new()
            except InvalidToken:
                raise
            except (TelegramError, self._outage) as error:
                await asyncio.sleep(self._trouble.again(_explained(error), error))
                continue
            except Exception as error:
                log.exception("Fetching updates failed")
                await asyncio.sleep(self._trouble.again("Updates can't be fetched", error))
                continue
            if found and highest is None:
                await asyncio.sleep(self._trouble.again("Telegram sent what is no update"))
                continue
            self._trouble.over()
            if highest is not None:
                self._offset = highest + 1
            else:
                self._answer_asked()
                await asyncio.sleep(0 if self._wait else SHORT_PAUSE)

    async def catch_up(self) -> None:
        """Return when everything that waited at the platform has been fetched, and kept."""
        asked = asyncio.get_running_loop().create_future()
        self._asked.append(asked)
        await asked

    async def _fetch(self) -> list[Any]:
        self._asked_before = list(self._asked)
        parameters = {
            "offset": self._offset,
            "timeout": self._wait,
            "limit": 100,
            "allowed_updates": json.dumps(ALLOWED),
        }
        try:
            found = await self._bot.do_api_request(
                _ENDPOINT, parameters, read_timeout=self._wait + MARGIN
            )
        except EndPointNotFound as error:
            if "unauthorized" in str(error.__cause__).lower():
                raise InvalidToken("the token is not valid any more") from None
            raise
        return found if isinstance(found, list) else [found]

    def _answer_asked(self) -> None:
        for each in self._asked_before:
            self._asked.remove(each)
            if not each.done():
                each.set_result(None)


class _Trouble:
    """Says once that something is wrong, and once that it is over."""

    def __init__(self) -> None:
        self._said = ""
        self._since = 0.0
        self._times = 0

    def again(self, explained: str, error: Exception | None = None) -> float:
        """Note one more failure; return the seconds to wait before the next try."""
        if not self._times:
            self._since = time.monotonic()
        if explained != self._said:
            log.warning("%s; trying again until it works", explained)
        self._said = explained
        self._times += 1
        pause = min(FIRST_PAUSE * 2.0 ** min(self._times - 1, 10), LONGEST_PAUSE)
        return max(pause, pause_asked(error))

    def over(self) -> None:
        """Note that it works."""
        if not self._times:
            return
        lasted = timedelta(seconds=round(time.monotonic() - self._since))
        log.info("Updates come in again, after %s", lasted)
        if lasted > KEPT_BY_PLATFORM:
            warn_of_loss(lasted)
        self._said, self._times = "", 0


def warn_of_loss(lasted: timedelta) -> None:
    """Say that the platform has thrown away what was sent to the bot more than a day ago."""
    log.warning(
        "Nothing was fetched for %s: what people sent more than 24 hours ago is lost; "
        "ask them to say it again",
        timedelta(seconds=round(lasted.total_seconds())),
    )


def _explained(error: Exception) -> str:
    match error:
        case RetryAfter():
            return "Telegram asks for a rest"
        case Conflict():
            return "Another program fetches this bot's updates (stop it, or give it its own token)"
        case EndPointNotFound():
            return "The server at CLUBBOT_API_URL doesn't know this bot"
        case BadRequest():
            return f"Telegram refuses to give updates ({in_short(error)})"
        case NetworkError():
            return f"Telegram can't be reached ({in_short(error)})"
        case TelegramError():
            return f"Telegram gives no usable answer ({in_short(error)})"
    return f"Updates stay at Telegram, since {error}"
