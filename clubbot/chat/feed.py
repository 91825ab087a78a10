"""The school's calendar, and the bookings as a calendar file, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import feed


async def calendar(talk: Talk, text: str) -> None:
    await (talk.say(feed.change, text) if text else talk.say(feed.shown))


async def drop(talk: Talk, key: str) -> None:
    await talk.press(feed.drop, key)


async def take(talk: Talk, key: str) -> None:
    await talk.press(feed.take, key)


async def cancel(talk: Talk, notice: str) -> None:
    await talk.press(feed.cancel, int(notice))


async def keep(talk: Talk, notice: str) -> None:
    await talk.press(feed.keep, int(notice))


async def file(talk: Talk, text: str) -> None:
    await talk.say(feed.export)
