"""The stepped clock's hands: moves the club's time forward, from one due moment to the next."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import AsyncExitStack
from datetime import datetime
from typing import TYPE_CHECKING

from clubbot.clock import SteppedClock

if TYPE_CHECKING:
    from aiohttp import web

log = logging.getLogger(__name__)


class Stepper:
    """Moves a stepped clock and lets everything that is due happen before it answers.

    `catch_up` returns when the updates that wait at the platform are handled, `settle` when all
    that is owed now is sent; `next_moment(after, until)` says when something becomes due next.
    """

    def __init__(
        self,
        clock: SteppedClock,
        *,
        catch_up: Callable[[], Awaitable[None]],
        settle: Callable[[], Awaitable[None]],
        next_moment: Callable[[datetime, datetime], datetime | None],
    ) -> None:
        self._clock = clock
        self._catch_up = catch_up
        self._settle = settle
        self._next_moment = next_moment
        self._moving = asyncio.Lock()

    def now(self) -> datetime:
        return self._clock.now()

    async def advance(self, to: datetime) -> None:
        """Step to a moment; what became due by then is done on return. ValueError: it is past."""
        async with self._moving:
            if to < self._clock.now():
                raise ValueError(
                    f"the clock stands at {self._clock.now().isoformat()} and never goes back"
                )
            await self._catch_up()
            await self._settle()
            while moment := await self._next(to):
                self._clock.set(moment)
                await self._settle()
            self._clock.set(to)
            await self._settle()
            await self._catch_up()

    async def _next(self, to: datetime) -> datetime | None:
        now = self._clock.now()
        moment = await asyncio.to_thread(self._next_moment, now, to)
        return moment if moment is not None and now < moment <= to else None


async def listen(stack: AsyncExitStack, stepper: Stepper, host: str, port: int) -> None:
    """Serve POST /advance {"to": moment} and GET /now until the stack is closed.

    OSError where the address can't be used.
    """
    from aiohttp import web

    async def now(_: web.Request) -> web.Response:
        return web.json_response({"now": stepper.now().isoformat()})

    async def advance(request: web.Request) -> web.Response:
        try:
            await stepper.advance(_moment(await request.json()))
        except ValueError as error:
            return web.json_response({"error": str(error)}, status=400)
        except Exception as error:
            log.exception("The clock could not be moved to the end")
            return web.json_response({"error": f"stopped on the way: {error}"}, status=500)
        return await now(request)

    server = web.Application()
    server.router.add_get("/now", now)
    server.router.add_post("/advance", advance)
    runner = web.AppRunner(server, access_log=None, handle_signals=False)
    await runner.setup()
    stack.push_async_callback(runner.cleanup)
    await web.TCPSite(runner, host, port).start()


def _moment(asked: object) -> datetime:
    wanted = asked.get("to") if isinstance(asked, dict) else None
    try:
        moment = datetime.fromisoformat(wanted) if isinstance(wanted, str) else None
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise ValueError('say {"to": "2026-10-02T13:00+01:00"}: a moment with its offset')
    return moment
