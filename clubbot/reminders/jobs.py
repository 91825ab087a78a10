"""What the clock does: finds notices that have become due, sends what is owed, tidies up.

The scheduler only wakes; what is owed stands in the store, so that a restart forgets nothing. One
task does the work, one thing after the other, and people's actions can wake it too (`nudge`).
"""

from __future__ import annotations

import asyncio
import logging
import secrets
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Generic, Protocol, TypeVar

from apscheduler.events import (  # type: ignore[import-untyped]
    EVENT_JOB_ERROR,
    EVENT_JOB_MISSED,
    JobExecutionEvent,
)
from apscheduler.schedulers.asyncio import AsyncIOScheduler  # type: ignore[import-untyped]

from clubbot.rules.sending import Outcome, TryAgain, Unknown

log = logging.getLogger(__name__)

SWEEP_EVERY = 30
"""Seconds; a notice is owed to the minute, and a sweep costs milliseconds."""
DRAIN_EVERY = 5
"""Seconds; how long a message whose time to be tried again has come may wait."""
UPKEEP_EVERY_HOURS = 6
REST = 0.5
"""Seconds between two passes that people's actions ask for, however many they are."""
TAKEN = 50
"""How many notices are leased at once; those of one person go into one message."""
TOGETHER = 4
"""How many messages are on their way at once; answers to people need the rest of the line."""
AFTER_OUTAGE = TryAgain(timedelta(seconds=30))
NOT_BEGUN = TryAgain(timedelta(0))
SETTLE_WITHIN = 100.0
"""Seconds: so long `settle` waits for what the platform put off or a dead process has leased,"""
DANGER_ALONE = 5.0
"""Seconds that everything else waits for what is urgent to be there first."""
SETTLE_PAUSE = 0.1
"""and looks as often as this."""


class Message(Protocol):
    """What is owed to somebody."""

    @property
    def urgent(self) -> bool: ...


Owed = TypeVar("Owed", bound=Message)


@dataclass(frozen=True, slots=True)
class Work(Generic[Owed]):
    """What is to be done; all but `deliver` may wait for the database and run in a thread.

    `sweep` finds what has become due, `lease(limit)` takes what is owed, most urgent first,
    `deliver` returns None where nothing is left to say, `mark` writes down what became of a
    message, `settled` says whether nothing is owed any more, `outage` is what all of them raise
    while the database can't be used.
    """

    sweep: Callable[[], object]
    lease: Callable[[int], Sequence[Owed]]
    deliver: Callable[[Owed], Awaitable[Outcome | None]]
    mark: Callable[[Owed, Outcome | None], None]
    settled: Callable[[], bool]
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
        self._passing = asyncio.Lock()
        self._sending: set[asyncio.Task[None]] = set()
        self._line = asyncio.Semaphore(TOGETHER)
        self._task: asyncio.Task[None] | None = None
        self._stopping = False
        self._outage_said = ""

    def start(self) -> None:
        """Begin at once with all three: what became due while the bot was down is owed now."""
        add = self._scheduler.add_job
        add(self._time_to_sweep, "interval", seconds=SWEEP_EVERY, id="sweep")
        add(self._time_to_drain, "interval", seconds=DRAIN_EVERY, id="drain")
        add(self._time_to_tidy, "interval", hours=UPKEEP_EVERY_HOURS, id="upkeep")
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
            await self._pass()
            if self._sending:
                await asyncio.wait(self._sending)
            elif await asyncio.to_thread(self._work.settled):
                return
            elif time.monotonic() > give_up:
                log.error("Some notices could not be sent within %.0f s", SETTLE_WITHIN)
                return
            else:
                await asyncio.sleep(SETTLE_PAUSE)

    async def stop(self, seconds: float) -> None:
        """Finish what is on its way, for at most so long; what is owed stays in the store."""
        self._stopping = True
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)
        self._woken.set()
        tasks = {*self._sending, *([self._task] if self._task else [])}
        if not tasks:
            return
        _, late = await asyncio.wait(tasks, timeout=seconds)
        for task in late:
            task.cancel()
        await asyncio.gather(*late, return_exceptions=True)

    # The scheduler runs plain functions in a thread, where nothing here may be touched.
    async def _time_to_sweep(self) -> None:
        self.nudge()

    async def _time_to_drain(self) -> None:
        self._woken.set()

    async def _time_to_tidy(self) -> None:
        self._upkeep_wanted = True
        self._woken.set()

    async def _work_when_woken(self) -> None:
        while not self._stopping:
            await self._woken.wait()
            self._woken.clear()
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
        async with self._passing:
            if self._upkeep_wanted:
                await self._tidy()
            if self._sweep_wanted:
                await self._sweep()
            while len(self._sending) < TAKEN and not self._stopping:
                owed = await asyncio.to_thread(self._work.lease, TAKEN)
                if not owed:
                    break
                if danger := [self._begin(each) for each in owed if each.urgent]:
                    await asyncio.wait(danger, timeout=DANGER_ALONE)
                for each in owed:
                    if not each.urgent:
                        self._begin(each)

    def _begin(self, owed: Owed) -> asyncio.Task[None]:
        task = asyncio.create_task(self._send(owed))
        self._sending.add(task)
        task.add_done_callback(self._sent)
        return task

    async def _tidy(self) -> None:
        """Tidy up; where that breaks, what is owed is sent all the same: a danger may be in it."""
        try:
            await asyncio.to_thread(self._work.upkeep)
        except self._work.outage:
            raise
        except Exception:
            log.exception("Tidying up failed, reference %s", secrets.token_hex(3))
        self._upkeep_wanted = False

    async def _sweep(self) -> None:
        """Find what is due; where that breaks, what is owed already is sent all the same."""
        self._sweep_wanted = False  # before it: a nudge meanwhile means once more
        try:
            await asyncio.to_thread(self._work.sweep)
        except (self._work.outage, asyncio.CancelledError):
            self._sweep_wanted = True
            raise
        except Exception:
            # The clock wakes the next one; at once it would break again.
            log.exception("A sweep failed, reference %s", secrets.token_hex(3))

    def _sent(self, task: asyncio.Task[None]) -> None:
        was_full = len(self._sending) >= TAKEN
        self._sending.discard(task)
        if was_full:
            self._woken.set()

    async def _send(self, owed: Owed) -> None:
        if owed.urgent:
            await self._deliver(owed)
            return
        async with self._line:
            if self._stopping:
                await self._mark(owed, NOT_BEGUN)
            else:
                await self._deliver(owed)

    async def _deliver(self, owed: Owed) -> None:
        outcome: Outcome | None
        try:
            outcome = await self._work.deliver(owed)
        except self._work.outage:
            outcome = AFTER_OUTAGE
        except Exception:
            log.exception("A message that was owed could not be made or sent")
            outcome = Unknown()
        await self._mark(owed, outcome)

    async def _mark(self, owed: Owed, outcome: Outcome | None) -> None:
        try:
            await asyncio.to_thread(self._work.mark, owed, outcome)
        except self._work.outage as error:
            log.error("What became of a message could not be noted: %s", error)

    def _say_outage(self, line: str) -> None:
        if line != self._outage_said:
            log.error("Reminders wait: %s", line)
        self._outage_said = line


def _tell(event: JobExecutionEvent) -> None:
    if event.exception:
        log.error("The job %s failed: %s", event.job_id, event.exception)
    else:
        log.warning("The job %s was missed at %s", event.job_id, event.scheduled_run_time)
