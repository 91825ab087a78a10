"""Faults in chat."""

from __future__ import annotations

from telegram import Message

from clubbot.chat.heard import number
from clubbot.chat.talk import Talk
from clubbot.desk import fault


async def report(talk: Talk, text: str) -> None:
    await talk.say(fault.report, text)


async def photo(talk: Talk, message: Message, caption: str) -> None:
    """A photo or video with or without a caption: the largest size, by the platform's file id."""
    file = message.photo[-1] if message.photo else message.video
    if file is not None:
        kind = "photo" if message.photo else "video"
        what = (file.file_id, file.file_unique_id, kind)
        await talk.say(fault.report_with_photo, caption, what)


async def faults(talk: Talk, text: str) -> None:
    await talk.say(fault.open_faults)


async def fixed(talk: Talk, text: str) -> None:
    first, _, done = text.partition(" ")
    which = number(first)
    if which is None:
        await talk.say(fault.open_faults)
    else:
        await talk.say(fault.close, which, done)


async def withdraw(talk: Talk, text: str) -> None:
    await talk.say(fault.withdraw, text)


async def restore(talk: Talk, text: str) -> None:
    await talk.say(fault.restore, text)


async def release(talk: Talk, text: str) -> None:
    await talk.say(fault.release, text)


async def kit(talk: Talk, which: str) -> None:
    await talk.press(fault.report_kit, int(which))


async def restore_kit(talk: Talk, which: str) -> None:
    await talk.press(fault.restore_kit, int(which))
