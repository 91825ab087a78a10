"""Charging in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import charging


async def charge_list(talk: Talk, text: str) -> None:
    await talk.say(charging.charge_list)


async def charged(talk: Talk, text: str) -> None:
    await talk.say(charging.charged, text)


async def listed(talk: Talk, day: str) -> None:
    await talk.press(charging.listed_charged, day)
