"""What is told afterwards, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import afterwards


async def log(talk: Talk, text: str) -> None:
    await talk.say(afterwards.tell, text)


async def write_down(talk: Talk, _: str) -> None:
    await talk.press(afterwards.write_down)
