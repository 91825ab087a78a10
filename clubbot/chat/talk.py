"""What every callback has at hand: ask the desk, and say its answer where it was asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from telegram import Update

from clubbot.chat.gate import Gate
from clubbot.chat.post import Post
from clubbot.chat.words import said
from clubbot.desk import lists
from clubbot.desk.acting import Answer
from clubbot.rules.model import Role
from clubbot.rules.results import (
    Booked,
    Cancelled,
    Changed,
    Counted,
    DangerReported,
    DayLists,
    EveningWritten,
    FaultClosed,
    FaultReported,
    HandedOut,
    HistoryCorrected,
    KitSwapped,
    LongerGiven,
    PartsNoted,
    PassedOn,
    SaidBack,
    SessionHandedOut,
    StockWritten,
    TakenBack,
    Undone,
    UseChanged,
    VersionAgreed,
    VersionNoted,
)

CHANGES = (
    Booked,
    Cancelled,
    Changed,
    Counted,
    DangerReported,
    EveningWritten,
    FaultClosed,
    FaultReported,
    HandedOut,
    HistoryCorrected,
    KitSwapped,
    LongerGiven,
    PartsNoted,
    PassedOn,
    SaidBack,
    SessionHandedOut,
    StockWritten,
    TakenBack,
    Undone,
    UseChanged,
    VersionAgreed,
    VersionNoted,
)
"""The answers after which today's list may read otherwise."""

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
        """Say an answer in the chat, if there is anything to say, and keep the lists up to date."""
        reply = said(answer.value, answer.view)
        if reply.text:
            urgent = isinstance(answer.value, DangerReported)
            await self.post.reply(self.update, reply, urgent=urgent)
        await self.keep_lists(answer)

    async def keep_lists(self, answer: Answer) -> None:
        """After a change, put today's list as it stands in place of what people have of it."""
        if not isinstance(answer.value, CHANGES) or _another_day(answer):
            return
        found = await self.ask(lists.day_lists)
        if found is None or not isinstance(found.value, DayLists) or found.value.today is None:
            return
        query = self.update.callback_query
        under = query.message if query else None
        for copy in found.value.copies:
            if under and (under.chat.id, under.message_id) == (copy.chat_id, copy.message_id):
                continue
            view = found.view._replace(role=Role(copy.role), private=True)
            reply = said(found.value.today, view)
            await self.post.put_in_place(copy.chat_id, copy.message_id, reply)

    async def press(self, use: Use, *args: Any) -> Answer | None:
        """Ask the desk and put its answer in place of the message with the pressed button."""
        answer = await self.ask(use, *args)
        if answer is not None:
            await self.post.edit(self.update, said(answer.value, answer.view))
            await self.keep_lists(answer)
        return answer


def _another_day(answer: Answer) -> bool:
    """Say whether an answer is about a booking that today's list doesn't show anyway."""
    if not isinstance(answer.value, Booked | Cancelled):
        return False
    view, window = answer.view, answer.value.booking.window
    return view.now.astimezone(view.zone).date() < window.start.astimezone(view.zone).date()
