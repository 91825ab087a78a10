"""What an update leads to: a new message, a pressed button, a chat that changed, a bug."""

from __future__ import annotations

import asyncio
import logging
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from telegram import Bot, CallbackQuery, Message, Update
from telegram.ext import CallbackQueryHandler, ChatMemberHandler, MessageHandler, filters

from clubbot.chat import chats, exchange, fault, mending
from clubbot.chat.buttons import Verb
from clubbot.chat.gate import Gate
from clubbot.chat.heard import Heard, heard
from clubbot.chat.intake import AnyApplication
from clubbot.chat.post import Post
from clubbot.chat.router import COMMANDS, VERBS
from clubbot.chat.talk import Talk
from clubbot.chat.words import help as helping
from clubbot.chat.words.phrases import VERSION
from clubbot.rules.model import Refused

log = logging.getLogger(__name__)

_ROWS = {row.name: row for row in COMMANDS}
_STORE = ("back", "count", "fit", "kit", "longer", "out", "pass", "swap", "withdraw")
_OF_KITS = frozenset({*_STORE, "battery", "charge", "charged", "health", "testday"})
"""The commands after which people say how a kit is: danger comes before what they are for."""


Typed = Callable[[int, str], str | None]
"""What is behind the button of that text in a chat, if one of the newest there has it."""


def register(application: AnyApplication, gate: Gate, post: Post, typed: Typed) -> None:
    """Add the handlers to the library's application; edited messages have none."""
    on = _Handlers(gate, post, application.bot, typed)
    new = filters.UpdateType.MESSAGE
    worded = filters.TEXT | filters.CAPTION | filters.PHOTO | filters.VIDEO
    other = filters.ChatType.PRIVATE & ~filters.StatusUpdate.ALL
    change = ChatMemberHandler.MY_CHAT_MEMBER
    application.add_handler(MessageHandler(new & filters.StatusUpdate.MIGRATE, on.move))
    application.add_handler(MessageHandler(new & worded, on.message))
    application.add_handler(MessageHandler(new & other, on.other))
    application.add_handler(CallbackQueryHandler(on.button))
    application.add_handler(ChatMemberHandler(on.chat_change, change))
    application.add_error_handler(on.bug)


@dataclass(frozen=True, slots=True)
class _Handlers:
    gate: Gate
    post: Post
    bot: Bot
    typed: Typed

    async def message(self, update: Update, _: Any) -> None:
        message = update.message
        if message is None:
            return
        talk, said = Talk(self.gate, self.post, update), heard(message, self.bot)
        if await self._filed(talk, message, said):
            return
        row, private = _ROWS.get(said.command or ""), message.chat.id > 0
        if said.command == "":
            return
        if (message.photo or message.video) and said.addressed:
            await mending.photo(talk, message, said.text)
        elif said.command is None:
            data = self.typed(message.chat.id, said.text) if private else None
            await (_pressed(talk, data) if data else _free_text(talk, said))
        elif row is not None and row.name in _OF_KITS and await _endangered(talk, said):
            return
        elif row is not None and (private or row.group):
            await row.callback(talk, said.text)
        elif row is not None:
            await self.post.reply(update, helping.in_private(self.bot.username))
        elif private:
            await self.post.reply(update, helping.unknown_command())

    async def _filed(self, talk: Talk, message: Message, said: Heard) -> bool:
        """Take in a table with words below it; only a danger in them comes before."""
        file = message.document
        if file is None or message.chat.id < 0 or not exchange.is_table(file):
            return False
        if not await _endangered(talk, said):
            await exchange.document(talk, file)
        return True

    async def other(self, update: Update, _: Any) -> None:
        file = update.message.document if update.message else None
        if file is not None and exchange.is_table(file):
            await exchange.document(Talk(self.gate, self.post, update), file)
        else:
            await self.post.reply(update, helping.only_words())

    async def button(self, update: Update, _: Any) -> None:
        query = update.callback_query
        verb, facts = _behind(query.data or "" if query else "")
        if verb is None:
            await self.post.acknowledge(update, helping.old_button(), alert=True)
            return
        if _somebody_elses(query):
            await self.post.acknowledge(update, helping.others_button(), alert=True)
            return
        acknowledged = asyncio.create_task(self.post.acknowledge(update))
        try:
            await verb.callback(Talk(self.gate, self.post, update), facts)
        finally:
            await acknowledged

    async def chat_change(self, update: Update, _: Any) -> None:
        await chats.changed(self.gate, update)

    async def move(self, update: Update, _: Any) -> None:
        await chats.moved(self.gate, update)

    async def bug(self, update: object, context: Any) -> None:
        """Log what nobody expected, and give the person a reference to it."""
        reference = secrets.token_hex(3)
        log.error("Unexpected, reference %s", reference, exc_info=context.error)
        if isinstance(update, Update) and update.effective_chat is not None:
            await self.post.reply(update, helping.broken(reference))


def _behind(data: str) -> tuple[Verb | None, str]:
    """Return what a button does and its facts; nothing where it is none of this version's."""
    version, _sep, rest = data.partition(":")
    name, _sep, facts = rest.partition(":")
    verb = VERBS.get(name) if version == VERSION else None
    if verb is None or not re.fullmatch(verb.facts, facts):
        return None, ""
    return verb, facts


async def _pressed(talk: Talk, data: str) -> None:
    """Do what the button does whose text somebody has typed."""
    verb, facts = _behind(data)
    if verb is not None:
        await verb.callback(talk, facts)


async def _endangered(talk: Talk, said: Heard) -> bool:
    return bool(said.text) and await fault.danger_first(talk, said.text)


async def _free_text(talk: Talk, said: Heard) -> None:
    """Answer a sentence; in a group only what is said to the bot, a sure fault, or danger."""
    answer = await fault.heard(talk, said.text, said.addressed)
    if answer is not None and (said.addressed or not isinstance(answer.value, Refused)):
        await talk.answer(answer)


def _somebody_elses(query: CallbackQuery | None) -> bool:
    """Say whether a button in a group is under the answer to somebody else's message."""
    shown = query.message if query else None
    asked = shown.reply_to_message if isinstance(shown, Message) else None
    if query is None or shown is None or shown.chat.id > 0 or asked is None:
        return False
    return asked.from_user is not None and asked.from_user.id != query.from_user.id
