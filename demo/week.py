"""Plays the invented club's week with the real bot, prints it, and leaves the chat page open.

The exit code is 0 when everything went as written in the story, 1 when not.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import io
import signal
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from demo.clock import ClockError
from demo.player import DiffersError, Player
from demo.script import Script, ScriptError, read
from demo.stage import BotStoppedError, Stage
from demo.telling import Teller

WEEK = Path(__file__).with_name("week.txt")


def main(argv: Sequence[str]) -> int:
    """Play the story that the arguments name; return the exit code."""
    asked = _arguments(argv)
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    try:
        script = read(asked.story)
    except (OSError, ScriptError) as error:
        print(error, file=sys.stderr)
        return 1
    terminal = sys.stdin.isatty() and sys.stdout.isatty()
    page = terminal if asked.page is None else bool(asked.page)
    played = _Run(script, asked.port, page)
    with contextlib.suppress(KeyboardInterrupt, asyncio.CancelledError):
        asyncio.run(played.run())
    return played.code


def _arguments(argv: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python3 demo", description=__doc__)
    parser.add_argument("story", nargs="?", type=Path, default=WEEK, help="another story to play")
    parser.add_argument(
        "--page", action=argparse.BooleanOptionalAction, default=None,
        help="leave the chat page open at the end, or not (otherwise: on a terminal)",
    )  # fmt: skip
    parser.add_argument("--port", type=int, default=0, help="where the page is; 0: any free port")
    return parser.parse_args(argv)


class _Run:
    """One run of the demo; `code` is what it comes to, whenever it is ended."""

    def __init__(self, script: Script, port: int, page: bool) -> None:
        self.code = 1
        self._script = script
        self._port = port
        self._page = page
        self._tell = Teller()

    async def run(self) -> None:
        task = asyncio.current_task()
        assert task is not None  # noqa: S101 - this runs in one
        with contextlib.suppress(NotImplementedError):  # Windows
            asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, task.cancel)
        try:
            async with Stage(self._script.start, self._script.zone, self._port) as stage:
                await self._play(stage)
                if self._page:
                    await self._leave_open(stage)
        except BotStoppedError as error:
            print(f"\nThe bot has stopped. The end of its log:\n{error}", file=sys.stderr)
            self.code = 1
        except OSError as error:
            print(f"\nThe demo can't start: {error}", file=sys.stderr)

    async def _play(self, stage: Stage) -> None:
        began = time.monotonic()
        try:
            await Player(self._script, stage, self._tell).play()
        except (DiffersError, ClockError) as error:
            if not stage.bot.running:
                raise BotStoppedError(stage.bot.last_words()) from error
            self._tell.line(f"\n{error}")
            return
        self.code = 0
        steps = sum(step.deed != "heading" for step in self._script.steps)
        seen = sum(len(step.expected) for step in self._script.steps)
        took = time.monotonic() - began
        self._tell.line(f"\nAs written, {steps} steps and {seen} answers, in {took:.0f} seconds.")

    async def _leave_open(self, stage: Stage) -> None:
        self._tell.line(
            f"\nGo on as any of them: {stage.standin.base_url}/\n"
            "The club's clock stands still until you move it there. Ctrl+C ends it."
        )
        sys.stdout.flush()
        await stage.bot.ended()
        raise BotStoppedError(stage.bot.last_words())
