"""Lost and found in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import losing


async def lost(talk: Talk, text: str) -> None:
    await (talk.say(losing.lose, text) if text else talk.say(losing.all_lost))


async def pictures(talk: Talk, facts: str) -> None:
    number, _, answer = facts.partition(":")
    await talk.press(losing.pictures, int(number), answer)


async def found(talk: Talk, number: str) -> None:
    await talk.press(losing.found, int(number))
