"""The club's group, in chat."""

from __future__ import annotations

import logging

from telegram import ChatMember
from telegram.error import TelegramError

from clubbot.chat.letters import topic
from clubbot.chat.talk import Talk
from clubbot.chat.words import help as helping
from clubbot.desk import group

log = logging.getLogger(__name__)


async def link(talk: Talk, text: str) -> None:
    chat = talk.update.effective_chat
    if chat is None or chat.id > 0:
        await talk.post.reply(talk.update, helping.link_there())
    elif text.lower() == "off":
        await talk.say(group.let_group_go)
    elif text.lower() in ("here", "quiet"):
        here = topic(talk.update.effective_message) if text.lower() == "here" else None
        await talk.say(group.announce_here, here, text.lower() == "here")
    else:
        await talk.say(group.link_group, chat.title or "", *await _reads_all(talk))


async def link_all_the_same(talk: Talk, facts: str) -> None:
    """Link a group in which the bot can read everything: the school said yes."""
    chat = talk.update.effective_chat
    if chat is not None and chat.id < 0:
        reads, as_administrator = await _reads_all(talk)
        title = chat.title or ""
        await talk.press(group.link_group, title, reads, as_administrator, True)


async def _reads_all(talk: Talk) -> tuple[bool, bool]:
    """Say whether the bot can read every message of this group now, and whether by its rights."""
    bot, chat = talk.update.get_bot(), talk.update.effective_chat
    try:
        me = await bot.get_me()
        here = await bot.get_chat_member(chat.id, me.id) if chat else None
    except TelegramError as error:
        log.warning("What the bot can see in a group isn't known: %s", error.message)
        return bool(bot.bot.can_read_all_group_messages), False
    administrator = here is not None and here.status in (
        ChatMember.ADMINISTRATOR,
        ChatMember.OWNER,
    )
    return bool(me.can_read_all_group_messages) or administrator, administrator
