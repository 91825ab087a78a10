"""Software versions in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import versions as desk


async def versions(talk: Talk, text: str) -> None:
    if text:
        await talk.say(desk.say, text)
    else:
        await talk.say(desk.show)


async def back(talk: Talk, text: str) -> None:
    await talk.press(desk.say, text)
