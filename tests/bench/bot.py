"""How many updates a second the bot handles, beside a bare echo bot on the same machine.

    python -m tests.bench.bot [--pairs 5] [--burst 600] [--only "book, 10 past" ...]

Each pair starts both bots afresh and gives them bursts of queued updates in turn, several times
over, since a machine's speed changes from second to second: the same library, at most eight updates
in flight in both, one message an update, both on the same core. The echo bot keeps nothing; the bot
keeps its inbox and its bookings in a database file, with the settings that it always has. Every
answer is looked at: one that isn't what was asked for ends the run.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import json
import os
import platform
import shutil
import statistics
import sys
import tempfile
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter

from tests.bench import past
from tests.bench.lean_server import Line, Server

ROOT = Path(__file__).parents[2]
WARM_UP = 80
TURNS = 6
"""How many bursts each bot gets in a pair."""
SETTLED = 1.0
"""Seconds: by then nothing is left to do of what came before a burst."""
LONGEST = 120.0
CORES = sorted(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else []
_update_ids = itertools.count(1_000_001)


@dataclass(frozen=True)
class Scenario:
    """What is asked, in a club with so many bookings behind and before it."""

    name: str
    text: Callable[[int], str]
    answer: str
    past: int
    live: int


@dataclass
class Burst:
    """What bursts of updates took: seconds by the clock, and of the processor."""

    updates: int = 0
    seconds: float = 0.0
    cpu: float = 0.0
    answers: list[str] = field(default_factory=list)

    @property
    def rate(self) -> float:
        return self.updates / self.seconds

    @property
    def cpu_ms(self) -> float:
        return self.cpu * 1000 / self.updates


@dataclass
class Pair:
    echo: Burst
    bot: Burst

    @property
    def ratio(self) -> float:
        return self.bot.rate / self.echo.rate

    @property
    def added_ms(self) -> float:
        return 1000 / self.bot.rate - 1000 / self.echo.rate


@dataclass
class Found:
    pairs: list[Pair] = field(default_factory=list)
    memory_mb: list[float] = field(default_factory=list)


def _book(number: int) -> str:
    """Return a request; they spread over the weeks to come, so that none is refused."""
    days = list(itertools.islice(past.weekdays(past.NOW, 1), 2, 42))
    day = days[number % len(days)]
    start, end = past.SLOTS[number // len(days) % len(past.SLOTS)]
    return f"/book 1 kit {day:%d %b} {start:%H:%M} to {end:%H:%M}"


def _free(_: int) -> str:
    return "/free"


SCENARIOS = (
    Scenario("free, 10 past", _free, " kits free ", 10, 40),
    Scenario("free, 10,000 past", _free, " kits free ", 10_000, 40),
    Scenario("book, 10 past", _book, "Booked: 1 kit", 10, 40),
    Scenario("book, 10,000 past", _book, "Booked: 1 kit", 10_000, 40),
    Scenario("book, 10,000 past, 400 live", _book, "Booked: 1 kit", 10_000, 400),
)


def updates(texts: Sequence[str]) -> list[tuple[int, bytes]]:
    """Return private messages, one person after the other."""
    found = []
    for place, text in enumerate(texts):
        number = past.FIRST_PERSON + place % past.PEOPLE
        user = {"id": number, "is_bot": False, "first_name": "Person", "language_code": "en"}
        command = len(text.split(" ", 1)[0])
        message = {
            "message_id": place + 1,
            "from": user,
            "chat": {"id": number, "first_name": "Person", "type": "private"},
            "date": int(past.NOW.timestamp()),
            "text": text,
            "entities": [{"offset": 0, "length": command, "type": "bot_command"}],
        }
        key = next(_update_ids)
        body = json.dumps({"update_id": key, "message": message}, separators=(",", ":"))
        found.append((key, body.encode()))
    return found


def _cpu_seconds(pid: int) -> float:
    """Return the processor time of a process so far; 0 where the system doesn't say."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _memory_mb(pid: int) -> float:
    """Return the resident memory of a process; 0 where the system doesn't say."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
    except OSError:
        return 0.0
    return int(status.partition("VmRSS:")[2].split()[0]) / 1024


@asynccontextmanager
async def started(
    server: Server, token: str, command: Sequence[str], **environment: str
) -> AsyncIterator[tuple[Line, int]]:
    """Run a bot on its core, from its first poll on, until the block ends."""
    process = await asyncio.create_subprocess_exec(
        sys.executable,
        *command,
        cwd=ROOT,
        env=os.environ | {"CLUBBOT_TOKEN": token, "CLUBBOT_API_URL": server.url} | environment,
        stdout=asyncio.subprocess.DEVNULL,
    )
    if len(CORES) > 1:
        os.sched_setaffinity(process.pid, {CORES[-1]})
    line = server.line(token)
    try:
        async with asyncio.timeout(LONGEST):
            while line.parked is None:
                if process.returncode is not None:
                    raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
                await asyncio.sleep(0.05)
        yield line, process.pid
    finally:
        if process.returncode is None:
            process.terminate()
            await process.wait()


async def burst(line: Line, pid: int, texts: Sequence[str], found: Burst) -> None:
    """Queue updates all at once; add what passes until the last of their answers has arrived."""
    sent, cpu, begun = len(line.sent), _cpu_seconds(pid), perf_counter()
    line.push(updates(texts))
    last = await line.sent_by(sent + len(texts), LONGEST)
    found.updates += len(texts)
    found.seconds += last - begun
    found.cpu += _cpu_seconds(pid) - cpu
    found.answers += line.said()[sent:]
    await asyncio.sleep(SETTLED)


def _insist(scenario: Scenario, answers: Sequence[str]) -> None:
    for each in answers:
        if scenario.answer not in each:
            raise SystemExit(f"{scenario.name}: the bot answered {each!r}")


def _fresh(made: Path, folder: Path) -> Path:
    """Return a copy of a database, in place of the one of the pair before."""
    for left in folder.glob("club.sqlite*"):
        left.unlink()
    return Path(shutil.copy(made, folder / "club.sqlite"))


async def measure(
    server: Server, scenario: Scenario, made: Path, folder: Path, size: int, found: Found
) -> Pair:
    """Run one pair: the echo bot and the bot in turn, the bot on a fresh copy of the club."""
    texts = [scenario.text(number) for number in range(WARM_UP + size)]
    database = _fresh(made, folder)
    echoed, answered = Burst(), Burst()
    async with (
        started(server, "1001:echo", ["-m", "tests.bench.echo_bot"]) as (echo, echo_pid),
        started(
            server,
            "1002:bot",
            ["-m", "clubbot", "run"],
            CLUBBOT_DATABASE_URL=f"sqlite:///{database.as_posix()}",
        ) as (line, pid),
    ):
        await burst(echo, echo_pid, texts[:WARM_UP], Burst())
        await burst(line, pid, texts[:WARM_UP], Burst())
        step = -(-size // TURNS)
        for first in range(WARM_UP, len(texts), step):
            await burst(echo, echo_pid, texts[first : first + step], echoed)
            await burst(line, pid, texts[first : first + step], answered)
        found.memory_mb.append(_memory_mb(pid))
    _insist(scenario, answered.answers)
    return Pair(echoed, answered)


def _spread(values: Sequence[float], digits: int) -> str:
    middle = statistics.median(values)
    return f"{middle:.{digits}f} ({min(values):.{digits}f} to {max(values):.{digits}f})"


def report(found: dict[str, Found]) -> None:
    heads = ("", "ratio of rates", "added ms", "updates/s, echo's", "CPU ms, echo's", "MB")
    print("{:28} {:22} {:22} {:18} {:16} {}".format(*heads))
    for name, each in found.items():
        pairs = each.pairs
        bot = statistics.median(pair.bot.rate for pair in pairs)
        echo = statistics.median(pair.echo.rate for pair in pairs)
        bot_cpu = statistics.median(pair.bot.cpu_ms for pair in pairs)
        echo_cpu = statistics.median(pair.echo.cpu_ms for pair in pairs)
        print(
            f"{name:28} {_spread([pair.ratio for pair in pairs], 2):22} "
            f"{_spread([pair.added_ms for pair in pairs], 2):22} "
            f"{f'{bot:.0f}, {echo:.0f}':18} {f'{bot_cpu:.2f}, {echo_cpu:.2f}':16} "
            f"{max(each.memory_mb):.0f}"
        )
    for few, many in (SCENARIOS[0:2], SCENARIOS[2:4]):
        if few.name in found and many.name in found:
            growth = [
                after.ratio / before.ratio
                for before, after in zip(found[few.name].pairs, found[many.name].pairs, strict=True)
            ]
            what = few.name.partition(",")[0]
            print(f"{what}: ratio with 10,000 past / with 10 past: {_spread(growth, 2)}")


async def main() -> None:
    options = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    options.add_argument("--pairs", type=int, default=5)
    options.add_argument("--burst", type=int, default=600)
    options.add_argument("--only", nargs="*", choices=[each.name for each in SCENARIOS])
    asked = options.parse_args()
    chosen = [each for each in SCENARIOS if not asked.only or each.name in asked.only]
    found = {each.name: Found() for each in chosen}
    if len(CORES) > 1:
        os.sched_setaffinity(0, set(CORES[:-1]))
    server = Server()
    await server.start()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made = {(each.past, each.live): folder / f"{each.past}-{each.live}" for each in chosen}
        for (before, after), file in made.items():
            past.make(f"sqlite:///{file.as_posix()}", before, after)
        for number, scenario in itertools.product(range(asked.pairs), chosen):
            file = made[scenario.past, scenario.live]
            each = found[scenario.name]
            pair = await measure(server, scenario, file, folder, asked.burst, each)
            each.pairs.append(pair)
            print(
                f"pair {number + 1}, {scenario.name}: {pair.bot.rate:.0f}/s beside "
                f"{pair.echo.rate:.0f}/s, ratio {pair.ratio:.2f}",
                flush=True,
            )
    await server.stop()
    load = ", ".join(f"{each:.1f}" for each in os.getloadavg()) if hasattr(os, "getloadavg") else ""
    print(f"\nPython {platform.python_version()}, {os.cpu_count()} cores, load {load}")
    report(found)


if __name__ == "__main__":
    asyncio.run(main())
