"""Runs the bot and kills it, without any warning, at a named point.

python -m tests.crash_runner POINT: what stands around the point is wrapped from outside, so the bot
itself knows nothing of it.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from typing import Any

from clubbot.chat.gate import Gate
from clubbot.chat.post import Post
from clubbot.cli import main
from clubbot.desk import sending
from clubbot.rules.results import Knocked
from clubbot.rules.sending import Sent
from clubbot.store.updates import Inbox


def die() -> None:
    os.kill(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))


def after_the_fetch() -> None:
    keep = Inbox.keep

    def wrapped(self: Inbox, batch: Any, done: Any, at: Any) -> set[int]:
        if batch:
            die()
        return keep(self, batch, done, at)

    Inbox.keep = wrapped  # type: ignore[method-assign]


def after_the_inbox() -> None:
    keep = Inbox.keep

    def wrapped(self: Inbox, batch: Any, done: Any, at: Any) -> set[int]:
        new = keep(self, batch, done, at)
        if new:
            die()
        return new

    Inbox.keep = wrapped  # type: ignore[method-assign]


def after_the_effect() -> None:
    run = Gate.run

    async def wrapped(self: Gate, function: Any, asking: Any, *args: Any) -> Any:
        answer = await run(self, function, asking, *args)
        if isinstance(answer.value, Knocked):
            die()
        return answer

    Gate.run = wrapped  # type: ignore[method-assign]


def after_the_answer() -> None:
    reply = Post.reply

    async def wrapped(self: Post, *args: Any, **others: Any) -> Any:
        outcome = await reply(self, *args, **others)
        die()
        return outcome

    Post.reply = wrapped  # type: ignore[method-assign]


def after_a_reminder_was_sent() -> None:
    mark = sending.mark

    def wrapped(store: Any, owed: Any, outcome: Any, *others: Any) -> None:
        if isinstance(outcome, Sent):
            die()
        mark(store, owed, outcome, *others)

    sending.mark = wrapped


POINTS: dict[str, Callable[[], None]] = {
    "after the fetch, before the inbox": after_the_fetch,
    "after the inbox, before the handling": after_the_inbox,
    "after the effect, before the answer": after_the_effect,
    "after the answer, before its mark": after_the_answer,
    "after a reminder was sent, before its mark": after_a_reminder_was_sent,
}

if __name__ == "__main__":
    POINTS[sys.argv[1]]()
    sys.argv[1:] = ["run"]
    main()
