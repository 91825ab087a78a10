"""The bot as a process: runs until the usual signals ask it to stop."""

from __future__ import annotations

import asyncio
import gc
import logging
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from clubbot.app import clock_for, running
from clubbot.settings import Settings
from clubbot.store.engine import Store

log = logging.getLogger(__name__)


async def serve(settings: Settings, store: Store, say: Callable[[str], None]) -> None:
    """Run until the process is asked to stop; `say` tells the person at the console something.

    Raises CannotRun where the platform doesn't accept the token, or an address can't be used.
    """
    stop = asyncio.Event()

    async def work() -> None:
        async with running(settings, store, clock_for(settings), say) as bot:
            # What is loaded by now stays: the collector needn't go through it again and again,
            # which would take a sixth of all the time that answers take.
            gc.collect()
            gc.freeze()
            gc.set_threshold(5_000, 20, 20)
            await bot.until_failure()

    with _stop_signals(stop):
        main = asyncio.create_task(work())
        asked = asyncio.create_task(stop.wait())
        await asyncio.wait({main, asked}, return_when=asyncio.FIRST_COMPLETED)
        asked.cancel()
        if not main.done():
            log.info("Stopping: finishing what is in hand")
            main.cancel()
        with suppress(asyncio.CancelledError):
            await main
        log.info("Stopped")


@contextmanager
def _stop_signals(stop: asyncio.Event) -> Iterator[None]:
    """Have the usual signals set an event instead of ending the process."""
    loop = asyncio.get_running_loop()
    names = ("SIGINT", "SIGTERM", "SIGBREAK")
    caught = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = {each: signal.getsignal(each) for each in caught}
    for each in caught:
        try:
            loop.add_signal_handler(each, stop.set)
        except NotImplementedError:  # Windows
            signal.signal(each, lambda *_: loop.call_soon_threadsafe(stop.set))
    try:
        yield
    finally:
        for each, handler in before.items():
            with suppress(NotImplementedError):
                loop.remove_signal_handler(each)
            signal.signal(each, handler)
