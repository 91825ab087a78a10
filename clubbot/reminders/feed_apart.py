"""Reads a stranger's calendar in a process of its own, which ends with it.

A megabyte of calendar takes seconds to read, and a hostile one can be made to take for ever: apart
from the bot neither holds up anybody, and the memory is given back.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from contextlib import suppress
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from clubbot.rules.feeds import FeedDay, FeedRead, Trouble, read_feed

MEMORY = 1 << 30
"""Bytes that the process may take, where the system can hold it to that."""


async def read_apart(
    text: str, zone: ZoneInfo, today: date, *, seconds: float
) -> FeedRead | Trouble:
    """Return what `read_feed` says, or that it can't be read within so many seconds."""
    try:
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-P",
            "-m",
            __name__,
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            env=_environment(),
        )
    except OSError:  # the computer has no room for another process just now
        return Trouble.UNREADABLE
    asked = json.dumps({"text": text, "zone": zone.key, "today": today.isoformat()})
    try:
        async with asyncio.timeout(seconds):
            said, _ = await process.communicate(asked.encode())
    except TimeoutError:
        return Trouble.UNREADABLE
    finally:
        if process.returncode is None:
            with suppress(ProcessLookupError):
                process.kill()
            await process.wait()
    return _found(json.loads(said)) if process.returncode == 0 else Trouble.UNREADABLE


def _environment() -> dict[str, str]:
    """Return what the process needs of the environment: none of the bot's settings."""
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "TEMP") if name in os.environ}
    path = os.pathsep.join(each or os.getcwd() for each in sys.path)
    return {**kept, "PYTHONPATH": path}


def _found(said: Any) -> FeedRead | Trouble:
    if isinstance(said, str):
        return Trouble(said)
    found = (
        FeedDay(key, date.fromisoformat(first), date.fromisoformat(last), why, sure)
        for key, first, last, why, sure in said["found"]
    )
    return FeedRead(said["events"], tuple(found))


def _told(read: FeedRead | Trouble) -> Any:
    if isinstance(read, Trouble):
        return read.value
    found = [
        (each.key, each.first_day.isoformat(), each.last_day.isoformat(), each.why, each.sure)
        for each in read.found
    ]
    return {"events": read.events, "found": found}


def _hold_to_limits() -> None:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        os.nice(10)  # people's answers come first


def main() -> None:
    """Read a question from standard input and write the answer to standard output."""
    _hold_to_limits()
    asked = json.loads(sys.stdin.buffer.read())
    read = read_feed(asked["text"], ZoneInfo(asked["zone"]), date.fromisoformat(asked["today"]))
    sys.stdout.buffer.write(json.dumps(_told(read)).encode())


if __name__ == "__main__":
    main()
