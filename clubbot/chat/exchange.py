"""Files in chat: sent to be taken in, and given out."""

from __future__ import annotations

import logging

from telegram import Document
from telegram.error import TelegramError

from clubbot.chat.talk import Talk
from clubbot.chat.words import exchange as wording
from clubbot.chat.words import help as helping
from clubbot.desk import exchange
from clubbot.rules.exchange import LARGEST, decode
from clubbot.rules.model import Refused
from clubbot.rules.results import Exported

log = logging.getLogger(__name__)


def is_table(file: Document) -> bool:
    """Say whether a file looks like one that is taken in."""
    name = (file.file_name or "").lower()
    return name.endswith((".csv", ".tsv", ".txt")) or file.mime_type == "text/csv"


async def document(talk: Talk, file: Document) -> None:
    """Take in a file that somebody sent to the bot alone, if they are one who may."""
    answer = await talk.ask(exchange.welcome)
    if answer is None or isinstance(answer.value, Refused):
        await talk.post.reply(talk.update, helping.only_words())
        return
    if (file.file_size or 0) > LARGEST:
        await talk.post.reply(talk.update, wording.too_large())
        return
    try:
        found = await talk.post.bot.get_file(file.file_id)
        content = bytes(await found.download_as_bytearray())
    except TelegramError as error:
        log.warning("A file couldn't be fetched: %s", error.message)
        await talk.post.reply(talk.update, wording.not_fetched())
        return
    text = decode(content) if len(content) <= LARGEST else None
    if text is None:
        await talk.post.reply(talk.update, wording.not_text())
    else:
        await talk.say(exchange.take_in, text)


async def how(talk: Talk, text: str) -> None:
    await talk.post.reply(talk.update, wording.how())


async def confirm(talk: Talk, key: str) -> None:
    await talk.press(exchange.confirm, key)


async def export(talk: Talk, text: str) -> None:
    answer = await talk.say(exchange.export)
    if answer is not None and isinstance(answer.value, Exported):
        for file in answer.value.files:
            await talk.answer(answer._replace(value=file))
