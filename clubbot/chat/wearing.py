"""Wear in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import wearing


async def wear(talk: Talk, text: str) -> None:
    await talk.say(wearing.report, text)
