"""The clock's work, with lists in place of the store: what is owed goes out, once, in order."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

import pytest

from clubbot.reminders import jobs as jobs_module
from clubbot.reminders.jobs import NOT_BEGUN, TAKEN, TOGETHER, Jobs, Work
from clubbot.rules.sending import Gone, Outcome, Sent, TryAgain, Unknown


class Outage(Exception):
    """The lists can't be used."""


@dataclass(frozen=True)
class Owed:
    text: str
    urgent: bool = False


@dataclass
class Desk:
    """What is owed, what is leased, what became of each; `coming` is found by the next sweep."""

    coming: list[Owed] = field(default_factory=list)
    waiting: list[Owed] = field(default_factory=list)
    leased: list[Owed] = field(default_factory=list)
    sent: list[str] = field(default_factory=list)
    became: list[tuple[str, Outcome | None]] = field(default_factory=list)
    outages: int = 0
    tidied: int = 0
    sweeps: int = 0
    threads: set[str] = field(default_factory=set)

    def sweep(self) -> None:
        self.threads.add(threading.current_thread().name)
        self.sweeps += 1
        self._maybe_out()
        self.waiting += self.coming
        self.coming.clear()

    def lease(self, limit: int) -> Sequence[Owed]:
        self._maybe_out()
        self.waiting.sort(key=lambda owed: not owed.urgent)
        taken, self.waiting = self.waiting[:limit], self.waiting[limit:]
        self.leased += taken
        return taken

    def mark(self, owed: Owed, outcome: Outcome | None) -> None:
        self.leased.remove(owed)
        self.became.append((owed.text, outcome))
        if isinstance(outcome, TryAgain):
            self.waiting.append(owed)

    def settled(self) -> bool:
        return not (self.waiting or self.leased)

    def upkeep(self) -> None:
        self.tidied += 1

    async def deliver(self, owed: Owed) -> Outcome | None:
        self.sent.append(owed.text)
        return Sent(len(self.sent))

    def _maybe_out(self) -> None:
        if self.outages:
            self.outages -= 1
            raise Outage("the disk is full")


@pytest.fixture
def desk() -> Desk:
    return Desk()


Start = Callable[..., Jobs[Owed]]


@pytest.fixture
async def start(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Start]:
    """Make the jobs over the desk, and stop them in the end; rests are short."""
    monkeypatch.setattr(jobs_module, "REST", 0.01)
    made: list[Jobs[Owed]] = []

    def begin(deliver: Callable[[Owed], Awaitable[Outcome | None]] | None = None) -> Jobs[Owed]:
        work = Work(
            sweep=desk.sweep,
            lease=desk.lease,
            deliver=deliver or desk.deliver,
            mark=desk.mark,
            settled=desk.settled,
            upkeep=desk.upkeep,
            outage=Outage,
        )
        made.append(Jobs(work))
        return made[-1]

    yield begin
    for each in made:
        await each.stop(1.0)


async def until(true: Callable[[], object]) -> None:
    async with asyncio.timeout(5):
        while not true():  # noqa: ASYNC110 - many kinds of change are waited for
            await asyncio.sleep(0.005)


async def test_what_became_due_while_the_bot_was_down_goes_out_at_the_start(
    desk: Desk, start: Start
) -> None:
    desk.coming = [Owed("the charge list")]
    start().start()
    await until(lambda: desk.became)
    assert desk.became == [("the charge list", Sent(1))]
    assert desk.tidied == 1
    assert threading.current_thread().name not in desk.threads


async def test_what_somebody_causes_goes_out_without_waiting_for_the_clock(
    desk: Desk, start: Start
) -> None:
    jobs = start()
    jobs.start()
    await until(lambda: desk.sweeps)
    desk.coming = [Owed("danger: unit D", urgent=True)]
    jobs.nudge()
    await until(lambda: desk.became)
    assert desk.sent == ["danger: unit D"]


async def test_a_nudge_during_a_sweep_means_one_more_sweep(desk: Desk, start: Start) -> None:
    real_sweep = desk.sweep

    def sweep() -> None:
        real_sweep()
        if desk.sweeps == 1:
            desk.coming = [Owed("came late")]
            jobs.nudge()

    desk.sweep = sweep  # type: ignore[method-assign]
    jobs = start()
    jobs.start()
    await until(lambda: desk.became)
    assert desk.sent == ["came late"]


async def test_danger_overtakes_reminders_that_are_already_on_their_way(
    desk: Desk, start: Start
) -> None:
    go_on = asyncio.Event()

    async def deliver(owed: Owed) -> Outcome | None:
        if not owed.urgent:
            await go_on.wait()
        return await desk.deliver(owed)

    desk.coming = [Owed(f"reminder {n}") for n in range(TOGETHER + 2)]
    jobs = start(deliver)
    jobs.start()
    await until(lambda: desk.leased)
    desk.coming = [Owed("danger", urgent=True)]
    jobs.nudge()
    await until(lambda: desk.sent == ["danger"])
    go_on.set()
    await until(desk.settled)
    assert sorted(desk.sent[1:]) == [f"reminder {n}" for n in range(TOGETHER + 2)]


async def test_only_a_few_are_on_their_way_at_once_and_many_all_arrive(
    desk: Desk, start: Start
) -> None:
    on_their_way, most = 0, 0

    async def deliver(owed: Owed) -> Outcome | None:
        nonlocal on_their_way, most
        on_their_way += 1
        most = max(most, on_their_way)
        await asyncio.sleep(0)
        on_their_way -= 1
        return await desk.deliver(owed)

    desk.coming = [Owed(f"reminder {n}") for n in range(3 * TAKEN + 7)]
    start(deliver).start()
    await until(lambda: len(desk.became) == 3 * TAKEN + 7)
    assert most == TOGETHER
    assert len(set(desk.sent)) == len(desk.sent)


@pytest.mark.parametrize("outcome", [None, Unknown(), Gone("blocked"), Sent(None)])
async def test_what_became_of_a_message_is_written_down(
    desk: Desk, start: Start, outcome: Outcome | None
) -> None:
    desk.coming = [Owed("one")]
    start(lambda _: asyncio.sleep(0, outcome)).start()
    await until(lambda: desk.became)
    assert desk.became == [("one", outcome)]


async def test_one_that_breaks_stops_no_other(desk: Desk, start: Start) -> None:
    async def deliver(owed: Owed) -> Outcome | None:
        if owed.text == "bad":
            raise ZeroDivisionError
        return await desk.deliver(owed)

    desk.coming = [Owed("bad"), Owed("good")]
    start(deliver).start()
    await until(desk.settled)
    await until(lambda: len(desk.became) == 2)
    assert dict(desk.became) == {"bad": Unknown(), "good": Sent(1)}


async def test_with_the_store_out_of_order_nothing_is_forgotten_and_it_is_said_once(
    desk: Desk, start: Start, caplog: pytest.LogCaptureFixture
) -> None:
    desk.coming = [Owed("one")]
    desk.outages = 3
    jobs = start()
    jobs.start()
    for _ in range(8):
        jobs.nudge()
        await asyncio.sleep(0.02)
    await until(lambda: desk.became)
    assert desk.sent == ["one"]
    assert [r.getMessage() for r in caplog.records] == ["Reminders wait: the disk is full"]


async def test_settling_waits_until_what_was_put_off_is_sent(desk: Desk, start: Start) -> None:
    tries = 0

    async def deliver(owed: Owed) -> Outcome | None:
        nonlocal tries
        tries += 1
        return TryAgain(timedelta(seconds=0)) if tries < 3 else await desk.deliver(owed)

    desk.coming = [Owed("one")]
    await start(deliver).settle()
    assert desk.sent == ["one"]
    assert tries == 3
    assert desk.settled()


async def test_a_stop_lets_messages_on_their_way_arrive_and_begins_no_more(
    desk: Desk, start: Start
) -> None:
    begun = asyncio.Event()

    async def deliver(owed: Owed) -> Outcome | None:
        begun.set()
        await asyncio.sleep(0.05)
        return await desk.deliver(owed)

    desk.coming = [Owed(f"reminder {n}") for n in range(TOGETHER + 4)]
    jobs = start(deliver)
    jobs.start()
    await begun.wait()
    await jobs.stop(2.0)
    assert sorted(desk.sent) == [f"reminder {n}" for n in range(TOGETHER)]
    assert [o for _, o in desk.became if not isinstance(o, Sent)] == [NOT_BEGUN] * 4
    assert len(desk.waiting) == 4
    assert not desk.leased


async def test_danger_is_sent_where_tidying_up_and_the_sweep_break(
    desk: Desk, start: Start, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks() -> None:
        raise ValueError("a bug")

    desk.sweep = desk.upkeep = breaks  # type: ignore[method-assign]
    desk.waiting = [Owed("danger", urgent=True)]
    start().start()
    await until(lambda: desk.became)
    assert desk.sent == ["danger"]
    assert "reference" in caplog.text
