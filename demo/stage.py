"""The stage: the stand-in with the page, the real bot as a process of its own, one clock for both.

Nothing of the bot is replaced: it is started as anybody would start it, and reaches the stand-in
over HTTP as it would reach the platform.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import re
import shutil
import socket
import sys
import tempfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType
from zoneinfo import ZoneInfo

from demo.clock import ClubClock
from demo.page import ChatPage
from demo.standin import StandIn

ROOT = Path(__file__).resolve().parent.parent
START_SECONDS = 30.0
STOP_SECONDS = 12.0
CODE = re.compile(r"/start (\w+)")


class BotStoppedError(Exception):
    """The bot's process isn't there; the text has the end of its log."""


class BotProcess:
    """`clubbot run`, with its settings in the environment and its files in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.code = ""
        """The one-time code that it printed for the club's first leader."""
        self._folder = folder
        self._log = folder / "bot.log"
        self._process: asyncio.subprocess.Process | None = None
        self._reading: asyncio.Task[None] | None = None
        self._coded = asyncio.Event()

    async def start(self, **settings: str) -> None:
        """Start it and return once it has printed its code, BotStoppedError if it doesn't."""
        with self._log.open("wb") as log:
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "clubbot", "run",
                cwd=self._folder, env=_environment(settings),
                stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=log,
                # Ctrl+C ends the demo, and the demo ends the bot: one after the other.
                start_new_session=True,
            )  # fmt: skip
        self._reading = asyncio.create_task(self._read())
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self._coded.wait(), START_SECONDS)
        if not self.code:
            raise BotStoppedError(self.last_words())

    async def _read(self) -> None:
        """Read what it prints to the end, so that its pipe never fills up."""
        assert self._process is not None  # noqa: S101 - start made it
        assert self._process.stdout is not None  # noqa: S101 - start asked for it
        async for line in self._process.stdout:
            if found := CODE.search(line.decode("utf-8", "replace")):
                self.code = found[1]
                self._coded.set()
        self._coded.set()

    @property
    def running(self) -> bool:
        """True until its process has ended."""
        return self._process is not None and self._process.returncode is None

    async def ended(self) -> None:
        """Return when its process has ended."""
        if self._process is not None:
            await self._process.wait()

    def last_words(self) -> str:
        """Return the end of its log."""
        lines = self._log.read_text(encoding="utf-8", errors="replace").splitlines()
        return "\n".join(lines[-12:]) or "the bot said nothing"

    async def stop(self) -> None:
        """Ask it to stop, and see to it that it does."""
        if self._process is not None and self.running:
            self._process.terminate()
            try:
                await asyncio.wait_for(self._process.wait(), STOP_SECONDS)
            except TimeoutError:
                self._process.kill()
                await self._process.wait()
        if self._reading:
            await self._reading


def _environment(settings: dict[str, str]) -> dict[str, str]:
    """The environment without any bot's settings of this machine, and with these."""
    inherited = {k: v for k, v in os.environ.items() if not k.upper().startswith("CLUBBOT_")}
    path = os.pathsep.join(filter(None, [str(ROOT), inherited.get("PYTHONPATH", "")]))
    own = {f"CLUBBOT_{name.upper()}": value for name, value in settings.items()}
    return inherited | {"PYTHONPATH": path, "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1"} | own


class Stage:
    """Stand-in, page, bot and clock, running for as long as the `async with` block lasts."""

    def __init__(self, start: datetime, zone: ZoneInfo, port: int = 0) -> None:
        self.clock = ClubClock(start, zone)
        self.standin = StandIn(self.clock.now)
        self.clock.follow(self.standin)
        self.roles: dict[int, str] = {}
        """What each person is, in words, for the page."""
        self.folder = Path(tempfile.mkdtemp(prefix="club-"))
        self.bot = BotProcess(self.folder)
        self._port = port

    async def __aenter__(self) -> Stage:
        try:
            await self._enter()
        except BaseException:
            await self.close()
            raise
        return self

    async def _enter(self) -> None:
        page = ChatPage(self.standin, self.clock, self.roles)
        url = await self.standin.start(self._port, extend=page.extend)
        address = f"127.0.0.1:{free_port()}"
        self.clock.url = f"http://{address}"
        await self.bot.start(
            token=self.standin.token,
            api_url=url,
            file_url=f"{url}/file",
            database_url=f"sqlite:///{(self.folder / 'club.sqlite').as_posix()}",
            clock=self.clock.now().isoformat(),
            clock_listen=address,
        )
        await self.standin.wait_for(
            lambda: self.standin.updates.polls or not self.bot.running,
            START_SECONDS,
            "a first poll",
        )
        if not self.bot.running:
            raise BotStoppedError(self.bot.last_words())

    async def __aexit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        await self.close()

    async def close(self) -> None:
        """Stop everything and remove the folder."""
        await self.bot.stop()
        await self.clock.close()
        await self.standin.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def cast(self, people: Sequence[tuple[str, str]]) -> None:
        """Add people, each with a word on who they are."""
        for name, role in people:
            self.roles[self.standin.add_person(name).id] = role


def free_port() -> int:
    """Return a loopback port that nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
