"""Needing kits longer, in chat."""

from __future__ import annotations

from datetime import UTC, datetime

from clubbot.chat.talk import Talk
from clubbot.desk import longer as more_time


async def longer(talk: Talk, text: str) -> None:
    await talk.say(more_time.longer, text)


async def need(talk: Talk, booking: str) -> None:
    await talk.say(more_time.need_longer, int(booking))


async def until(talk: Talk, facts: str) -> None:
    await talk.press(more_time.longer_until, *_read(facts))


async def yes(talk: Talk, facts: str) -> None:
    await talk.press(more_time.longer_yes, *_read(facts))


async def no(talk: Talk, facts: str) -> None:
    await talk.press(more_time.longer_no, *_read(facts))


def _read(facts: str) -> tuple[int, datetime]:
    booking, _, moment = facts.partition(":")
    return int(booking), datetime.fromtimestamp(int(moment), UTC)
