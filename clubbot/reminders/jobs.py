"""What the clock does: finds notices that have become due, sends what is owed, tidies up.

The scheduler only wakes; what is owed stands in the store, so that a restart forgets nothing. One
task does the work, one thing after the other, and people's actions can wake it too (`nudge`).
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from apscheduler.events import (  # type: ignore[import-untyped]
    EVENT_JOB_ERROR,
    EVENT_JOB_MISSED,
    JobExecutionEvent,
)
from apscheduler.schedulers.asyncio import AsyncIOScheduler  # type: ignore[import-untyped]

from clubbot.rules.sending import Outcome, Unknown

Owed = TypeVar("Owed")
R = TypeVar("R")
log = logging.getLogger(__name__)

SWEEP_EVERY = 30
"""Seconds; a notice is owed to the minute, and a sweep costs milliseconds."""
DRAIN_EVERY = 5
"""Seconds; how long a message whose time to be tried again has come may wait."""
UPKEEP_EVERY_HOURS = 6
REST = 0.5
"""Seconds between two passes that people's actions ask for, however many they are."""
TOGETHER = 4
"""How many messages are on their way at once; answers to people need the rest of the line."""
SETTLE_WITHIN = 60.0
"""Seconds: so long `settle` waits for messages that the platform put off, and looks"""
SETTLE_PAUSE = 0.1
"""as often as this."""


@dataclass(frozen=True, slots=True)
class Work(Generic[Owed]):
    """What is to be done; all but `deliver` may wait for the database and run in a thread.

    `sweep` returns how many notices it found, `lease(limit)` the most urgent messages that are
    owed, `mark` writes down what became of one, `left` returns how many are still owed.
    """

    sweep: Callable[[], int]
    lease: Callable[[int], Sequence[Owed]]
    deliver: Callable[[Owed], Awaitable[Outcome]]
    mark: Callable[[Owed, Outcome], None]
    left: Callable[[], int]
    upkeep: Callable[[], None]
    outage: type[Exception]


class Jobs(Generic[Owed]):
    """Three jobs (sweep, drain, upkeep) and the one task that they wake."""

    def __init__(self, work: Work[Owed]) -> None:
        self._work = work
        self._scheduler = AsyncIOScheduler(
            timezone="UTC",
            job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": 1},
        )
        self._scheduler.add_listener(_tell, EVENT_JOB_ERROR | EVENT_JOB_MISSED)
        self._woken = asyncio.Event()
        self._sweep_wanted = self._upkeep_wanted = True
        self._busy = asyncio.Lock()
        self._task: asyncio.Task[None] | None = None
        self._stopping = False
        self._outage_said = ""

    def start(self) -> None:
        """Begin at once with all three: what became due while the bot was down is owed now."""
        add = self._scheduler.add_job
        add(self.nudge, "interval", seconds=SWEEP_EVERY, id="sweep")
        add(self._wake, "interval", seconds=DRAIN_EVERY, id="drain")
        add(self._tidy, "interval", hours=UPKEEP_EVERY_HOURS, id="upkeep")
        self._scheduler.start()
        self._task = asyncio.create_task(self._work_when_woken())
        self._woken.set()

    def nudge(self) -> None:
        """Look at once whether something is owed: somebody may have caused it just now."""
        self._sweep_wanted = True
        self._woken.set()

    async def settle(self) -> None:
        """Sweep, and send until nothing is owed any more, also what the platform put off."""
        give_up = time.monotonic() + SETTLE_WITHIN
        self._sweep_wanted = True
        while True:
            async with self._busy:
                await self._pass()
                left = await asyncio.to_thread(self._work.left)
            if not left:
                return
            if time.monotonic() > give_up:
                log.error("%d notices could not be sent within %.0f s", left, SETTLE_WITHIN)
                return
            await asyncio.sleep(SETTLE_PAUSE)

    async def stop(self, seconds: float) -> None:
        """Finish what is on its way, for at most so long; what is owed stays in the store."""
        self._stopping = True
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)
        if self._task is None:
            return
        self._woken.set()
        _, late = await asyncio.wait([self._task], timeout=seconds)
        for task in late:
            task.cancel()
        await asyncio.gather(*late, return_exceptions=True)

    def _wake(self) -> None:
        self._woken.set()

    def _tidy(self) -> None:
        self._upkeep_wanted = True
        self._woken.set()

    async def _work_when_woken(self) -> None:
        while not self._stopping:
            await self._woken.wait()
            self._woken.clear()
            async with self._busy:
                try:
                    await self._pass()
                except self._work.outage as error:
                    self._say_outage(str(error))
                except Exception:
                    log.exception("A pass over what is owed failed; the next one tries again")
                else:
                    self._outage_said = ""
            if not self._stopping:
                await asyncio.sleep(REST)

    async def _pass(self) -> None:
        if self._upkeep_wanted:
            await asyncio.to_thread(self._work.upkeep)
            self._upkeep_wanted = False
        if self._sweep_wanted:
            self._sweep_wanted = False
            await asyncio.to_thread(self._work.sweep)
        while not self._stopping:
            owed = await asyncio.to_thread(self._work.lease, TOGETHER)
            if not owed:
                return
            await asyncio.gather(*(self._send(each) for each in owed))

    async def _send(self, owed: Owed) -> None:
        try:
            outcome = await self._work.deliver(owed)
        except Exception:
            log.exception("A message that was owed could not be made or sent")
            outcome = Unknown()
        await asyncio.to_thread(self._work.mark, owed, outcome)

    def _say_outage(self, line: str) -> None:
        if line != self._outage_said:
            log.error("Reminders wait: %s", line)
        self._outage_said = line


def _tell(event: JobExecutionEvent) -> None:
    if event.exception:
        log.error("The job %s failed: %s", event.job_id, event.exception)
    else:
        log.warning("The job %s was missed at %s", event.job_id, event.scheduled_run_time)
