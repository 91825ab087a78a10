"""What every callback has at hand: ask the desk, and say its answer where it was asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from telegram import Update

from clubbot.chat.gate import Gate
from clubbot.chat.post import Post
from clubbot.chat.words import said
from clubbot.desk.acting import Answer
from clubbot.rules.results import DangerReported

Use = Callable[..., Answer]


@dataclass(frozen=True, slots=True)
class Talk:
    """One update's conversation."""

    gate: Gate
    post: Post
    update: Update

    async def say(self, use: Use, *args: Any) -> Answer | None:
        """Ask the desk and answer in the chat; returns what the desk said."""
        answer = await self.ask(use, *args)
        if answer is not None:
            await self.answer(answer)
        return answer

    async def ask(self, use: Use, *args: Any) -> Answer | None:
        """Ask the desk only."""
        asking = self.gate.asking(self.update)
        return None if asking is None else await self.gate.run(use, asking, *args)

    async def answer(self, answer: Answer) -> None:
        """Say an answer in the chat, if there is anything to say."""
        reply = said(answer.value, answer.view)
        if reply.text:
            urgent = isinstance(answer.value, DangerReported)
            await self.post.reply(self.update, reply, urgent=urgent)

    async def press(self, use: Use, *args: Any) -> Answer | None:
        """Ask the desk and put its answer in place of the message with the pressed button."""
        answer = await self.ask(use, *args)
        if answer is not None:
            await self.post.edit(self.update, said(answer.value, answer.view))
        return answer
