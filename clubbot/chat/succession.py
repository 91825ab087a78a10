"""Handing the club over, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import succession


async def handover(talk: Talk, text: str) -> None:
    await talk.say(succession.paper)
