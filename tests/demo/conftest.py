"""A stand-in that is looked at from outside all the time, and a real bot library talking to it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AsyncExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from telegram import Bot, Update
from telegram.error import TelegramError
from telegram.ext import Application, ApplicationBuilder, BaseHandler

from demo.standin import StandIn
from demo.standin.outside import OutsideCheck


class Clock:
    """A clock that moves when told to."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 10, 2, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment

    def forward(self, **span: float) -> None:
        """Moves on by a span given as for timedelta."""
        self.moment += timedelta(**span)


@contextmanager
def refused(kind: type[TelegramError], words: str) -> Iterator[None]:
    """The library raises this error, and it begins with these words (in whatever case)."""
    with pytest.raises(kind) as caught:
        yield
    assert caught.value.message.lower().startswith(words.lower())


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
async def standin(clock: Clock) -> AsyncIterator[StandIn]:
    """Running; afterwards nothing that went in or out was objected to."""
    check = OutsideCheck()
    running = StandIn(now=clock, validator=check, webhook_pause=0.01)
    await running.start()
    yield running
    await running.stop()
    assert check.objections == []


@pytest.fixture
async def bot(standin: StandIn) -> AsyncIterator[Bot]:
    """python-telegram-bot's Bot, over HTTP."""
    client = Bot(standin.token, base_url=standin.bot_url, base_file_url=standin.file_url)
    async with client:
        standin.calls.clear()
        yield client


Launch = Callable[..., Any]


@pytest.fixture
async def launch(standin: StandIn) -> AsyncIterator[Launch]:
    """Starts python-telegram-bot's Application with the given handlers, polling."""
    async with AsyncExitStack() as stack:

        async def start(*handlers: BaseHandler[Any, Any, Any]) -> Application[Any, ...]:
            application = (
                ApplicationBuilder()
                .token(standin.token)
                .base_url(standin.bot_url)
                .base_file_url(standin.file_url)
                .build()
            )
            application.add_handlers(list(handlers))
            await application.initialize()
            stack.push_async_callback(application.shutdown)
            await application.start()
            stack.push_async_callback(application.stop)
            assert application.updater is not None
            await application.updater.start_polling(allowed_updates=Update.ALL_TYPES)
            stack.push_async_callback(application.updater.stop)
            await standin.wait_for(lambda: standin.updates.polls, what="a first poll")
            return application

        yield start
