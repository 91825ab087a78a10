"""What a message says, and whether it says it to the bot: by command, mention or answer."""

from __future__ import annotations

import re
from dataclasses import dataclass

from telegram import Bot, Message, MessageEntity

_COMMAND = re.compile(r"/(\w+)(?:@(\w+))?(?!\S)\s*(.*)", re.DOTALL)
_NUMBER = re.compile(r"#?([0-9]{1,9})")
_NUMBERED = re.compile(r"\s*(?:fault\s*)?#?([0-9]{1,9})(?![\w.])[\s:,;.-]*(.*)", re.I | re.DOTALL)
_UNSTORABLE = re.compile("[\x00\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Heard:
    """A text or caption: the command that it begins with, if any, and the rest.

    `command` is empty where another bot is meant. `addressed`: the bot was spoken to.
    """

    command: str | None
    text: str
    addressed: bool


def heard(message: Message, bot: Bot) -> Heard:
    """Read a message with words, or a picture with a caption or without.

    What no database takes, U+0000 and half a surrogate pair, becomes U+FFFD.
    """
    # In place of each a sign of the same length: the platform counts where a mention stands.
    text = _UNSTORABLE.sub("\ufffd", message.text or message.caption or "")
    name = bot.username.lower()
    if found := _COMMAND.fullmatch(text):
        command, meant, rest = found.groups()
        if meant and meant.lower() != name:
            return Heard("", "", addressed=False)
        return Heard(command.lower(), rest.strip(), addressed=True)
    mention = _mention(message, name)
    if mention:
        text = text.replace(mention, "", 1).strip(" ,:")
    replied = message.reply_to_message
    answers = replied is not None and replied.from_user is not None
    to_bot = answers and replied.from_user.id == bot.id  # type: ignore[union-attr]
    return Heard(None, text, addressed=message.chat.id > 0 or to_bot or bool(mention))


def _mention(message: Message, name: str) -> str:
    kinds: list[str | None] = [MessageEntity.MENTION]
    found = message.parse_entities(kinds) | message.parse_caption_entities(kinds)
    return next((said for said in found.values() if said.lower() == f"@{name}"), "")


def numbered(text: str) -> tuple[int | None, str]:
    """Return the number that a text begins with and the rest: "1: new cable", "fault 1 mended".

    Without a number the rest is all of it.
    """
    found = _NUMBERED.match(text)
    return (int(found[1]), found[2].strip()) if found else (None, text.strip())


def number(text: str) -> int | None:
    """Return the number of a booking or fault that a text is, such as "12" or "#12"."""
    found = _NUMBER.fullmatch(text.strip())
    return int(found[1]) if found else None
