"""The only sender: whatever leaves for a chat passes here, once, in parts that fit, at its turn.

error of the platform        what happens
---------------------------  -----------------------------------------------------------
too many requests            this chat waits as long as asked; others don't
not reached, or 5xx          surely not there: an answer is tried again, a reminder reports
anything else on the way     may be there: an answer is not repeated, an edit is
group became a supergroup    the change is reported and the message follows
blocked, chat not found      reported, given up
thread not found             again, outside the thread
entities can't be parsed     again, as plain text; a bug, and logged as one
message to edit is gone      sent as a new one
"""

from __future__ import annotations

import asyncio
import itertools
import logging
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import AbstractAsyncContextManager, nullcontext
from datetime import timedelta
from typing import Any

from telegram import Bot, LinkPreviewOptions, Message, ReplyParameters, Update
from telegram.constants import CallbackQueryLimit, ParseMode
from telegram.error import (
    BadRequest,
    ChatMigrated,
    Forbidden,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
)

from clubbot.chat.errors import in_short, pause_asked
from clubbot.chat.letters import Letter, letters_of, plain, topic
from clubbot.chat.pace import Pace, Urgency
from clubbot.chat.wire import NeverLeft
from clubbot.chat.words.phrases import Reply
from clubbot.rules.sending import Gone, Outcome, Sent, TryAgain, Unknown

log = logging.getLogger(__name__)

PATIENCE = 3600.0
"""Seconds: an answer that couldn't be sent for longer than this is of no use any more."""
AGAIN = timedelta(seconds=20)
A_LITTLE = 0.5
"""Seconds added to the rest that the platform asks for, since its clock is its own."""
_NO_PREVIEW = LinkPreviewOptions(is_disabled=True)
_MOVES = 3
"""How often a message follows its group to a new id; a group moves once in its life."""


class Post:
    """Sends answers, edits and reminders through one bot.

    `on_blocked(chat_id)` and `on_migrated(old, new)` tell the desk what was learned; `step_aside`
    gives up the caller's place among the updates in hand for as long as it waits; `took` hears of
    every answer that arrived.
    """

    def __init__(
        self,
        bot: Bot,
        *,
        pace: Pace | None,
        on_blocked: Callable[[int], Awaitable[None]],
        on_migrated: Callable[[int, int], Awaitable[None]],
    ) -> None:
        self._bot = bot
        self._pace = pace
        self._on_blocked = on_blocked
        self._on_migrated = on_migrated
        self.step_aside: Callable[[], AbstractAsyncContextManager[None]] = nullcontext
        self.took: Callable[[int, Reply, int | None], None] = lambda *_: None
        self._held: dict[int, float] = {}

    @property
    def bot(self) -> Bot:
        """The library's bot, for what isn't a message."""
        return self._bot

    async def reply(self, update: Update, reply: Reply, *, urgent: bool = False) -> Outcome:
        """Answer in the chat and topic of an update; in a group, as an answer to its message."""
        chat, message = update.effective_chat, update.effective_message
        if chat is None:
            return Gone("the update came from no chat")
        asked = isinstance(message, Message) and update.callback_query is None
        outcome = await self._all(
            letters_of(
                reply,
                chat.id,
                thread=topic(message),
                answers=message.message_id if message and asked and chat.id < 0 else None,
            ),
            Urgency.DANGER if urgent else Urgency.REPLY,
        )
        if isinstance(outcome, Sent):
            self.took(chat.id, reply, None)
        return outcome

    async def edit(self, update: Update, reply: Reply) -> Outcome:
        """Put a text and its buttons in place of the message that the pressed button is under.

        Where that message is gone, too old or a picture, a new one is sent.
        """
        query = update.callback_query
        if query is None or query.message is None or reply.photo or reply.document:
            return await self.reply(update, reply)
        letters = letters_of(reply, query.message.chat.id, thread=topic(query.message))
        letters[0].edits = query.message.message_id
        outcome = await self._all(letters, Urgency.REPLY)
        if isinstance(outcome, Sent):
            self.took(query.message.chat.id, reply, None)
        return outcome

    async def put_in_place(self, chat_id: int, message_id: int, reply: Reply) -> Outcome:
        """Put a text in place of what a message said; where that one is gone, do nothing."""
        letters = letters_of(reply, chat_id)[:1]
        letters[0].edits, letters[0].in_place = message_id, True
        return await self._all(letters, Urgency.REPLY, patient=False)

    async def acknowledge(self, update: Update, text: str = "", *, alert: bool = False) -> None:
        """Answer a pressed button, so that it stops waiting; `text` is shown over the chat."""
        if (query := update.callback_query) is None:
            return
        longest = int(CallbackQueryLimit.ANSWER_CALLBACK_QUERY_TEXT_LENGTH)
        try:
            await self._bot.answer_callback_query(
                query.id, text=text[:longest] or None, show_alert=alert
            )
        except BadRequest as error:
            if "query is too old" not in error.message.lower():
                log.error("A pressed button was answered wrongly: %s", error.message)
        except TelegramError as error:
            log.warning("A pressed button couldn't be answered: %s", in_short(error))

    async def send(
        self,
        chat_id: int,
        reply: Reply,
        urgency: Urgency = Urgency.REMINDER,
        thread: int | None = None,
    ) -> Outcome:
        """Send something nobody asked for just now. Never waits for long: says TryAgain."""
        return await self._all(letters_of(reply, chat_id, thread=thread), urgency, patient=False)

    async def _all(
        self, letters: list[Letter], urgency: Urgency, *, patient: bool = True
    ) -> Outcome:
        outcome: Outcome = Gone("there was nothing to send")
        for place, letter in enumerate(letters):
            if place:
                letter.chat_id, letter.thread = letters[0].chat_id, letters[0].thread
            outcome = await self._deliver(letter, urgency, patient=patient or place > 0)
            if not isinstance(outcome, Sent):
                return outcome
        return outcome

    async def _deliver(self, letter: Letter, urgency: Urgency, *, patient: bool) -> Outcome:
        pauses, give_up = _back_off(), time.monotonic() + PATIENCE
        while True:
            held = self._held_for(letter.chat_id)
            outcome = (
                TryAgain(timedelta(seconds=held)) if held else await self._try(letter, urgency)
            )
            if outcome is None:
                continue
            if not isinstance(outcome, TryAgain) or not patient:
                return outcome
            pause = self._held_for(letter.chat_id) or next(pauses)
            if time.monotonic() + pause > give_up:
                log.error("An answer could not be sent for %.0f minutes", PATIENCE / 60)
                return outcome
            async with self.step_aside():
                await asyncio.sleep(pause)

    async def _try(self, letter: Letter, urgency: Urgency) -> Outcome | None:
        """Send once; None when something was learned and it is to be tried again at once."""
        if self._pace is not None:
            async with self.step_aside():
                await self._pace.turn(letter.chat_id, urgency)
        try:
            return Sent(await self._transmit(letter))
        except RetryAfter as error:
            seconds = pause_asked(error) + A_LITTLE
            self._held[letter.chat_id] = time.monotonic() + seconds
            return TryAgain(timedelta(seconds=seconds))
        except ChatMigrated as error:
            return await self._follow(letter, error.new_chat_id)
        except Forbidden as error:
            await self._on_blocked(letter.chat_id)
            return Gone(error.message)
        except BadRequest as error:
            return await self._mend(letter, error.message)
        except TelegramError as error:
            if letter.edits is not None or _surely_not_there(error):
                return TryAgain(AGAIN)
            log.warning("It is not known whether a message arrived: %s", in_short(error))
            return Unknown()

    async def _transmit(self, letter: Letter) -> int:
        mode = ParseMode.HTML if letter.html else None
        text = letter.text if letter.html else plain(letter.text)
        if letter.edits is not None:
            await self._bot.edit_message_text(
                text,
                chat_id=letter.chat_id,
                message_id=letter.edits,
                parse_mode=mode,
                reply_markup=letter.markup,
                link_preview_options=_NO_PREVIEW,
            )
            return letter.edits
        answers = letter.answers
        quoted = ReplyParameters(answers, allow_sending_without_reply=True) if answers else None
        common: dict[str, Any] = {
            "parse_mode": mode,
            "reply_markup": letter.markup,
            "message_thread_id": letter.thread,
            "reply_parameters": quoted,
        }
        to, caption = letter.chat_id, text or None
        if letter.photo is not None:
            message = await self._bot.send_photo(to, letter.photo, caption=caption, **common)
        elif letter.video is not None:
            message = await self._bot.send_video(to, letter.video, caption=caption, **common)
        elif letter.document is not None:
            name, content = letter.document
            message = await self._bot.send_document(
                to, content, filename=name, caption=caption, **common
            )
        else:
            message = await self._bot.send_message(
                to, text, link_preview_options=_NO_PREVIEW, **common
            )
        return message.message_id

    async def _follow(self, letter: Letter, new_chat_id: int) -> Outcome | None:
        letter.moves += 1
        if letter.moves > _MOVES:
            return Gone("the group keeps moving to another id")
        await self._on_migrated(letter.chat_id, new_chat_id)
        letter.chat_id = new_chat_id
        letter.answers = letter.edits = letter.thread = None
        return None

    async def _mend(self, letter: Letter, said: str) -> Outcome | None:
        problem = said.lower()
        if "message is not modified" in problem:
            return Sent(letter.edits)
        if letter.thread is not None and "thread not found" in problem:
            letter.thread = None
            return None
        if letter.html and "can't parse entities" in problem:
            log.error("A text is not valid HTML and went out plain: %s", said)
            letter.html = False
            return None
        if letter.in_place:
            return Gone(said)
        if letter.edits is not None:
            letter.edits = None
            return None
        if "chat not found" in problem:
            await self._on_blocked(letter.chat_id)
        else:
            log.error("A message was refused: %s", said)
        return Gone(said)

    def _held_for(self, chat_id: int) -> float:
        left = self._held.get(chat_id, 0.0) - time.monotonic()
        if left <= 0:
            self._held.pop(chat_id, None)
        return max(left, 0.0)


def _surely_not_there(error: TelegramError) -> bool:
    if isinstance(error.__cause__, NeverLeft) or isinstance(error, InvalidToken):
        return True
    # The platform itself answered, with a 5xx status: the library then gives no cause, or that the
    # answer was no JSON.
    answered = error.__cause__ is None or isinstance(error.__cause__, TelegramError)
    return type(error) is NetworkError and answered


def _back_off() -> Iterator[float]:
    yield from (0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
    yield from itertools.repeat(30.0)
