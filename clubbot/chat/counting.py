"""Full counts in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import counting


async def count(talk: Talk, text: str) -> None:
    await (talk.say(counting.count, text) if text else talk.say(counting.counts_due))


async def count_kit(talk: Talk, which: str) -> None:
    await talk.press(counting.count_kit, int(which))


async def count_less(talk: Talk, facts: str) -> None:
    kit, _, place = facts.partition(":")
    await talk.press(counting.count_less, int(kit), int(place))


async def count_box(talk: Talk, facts: str) -> None:
    kit, _, box = facts.partition(":")
    await talk.press(counting.count_box, int(kit), int(box))


async def count_done(talk: Talk, which: str) -> None:
    await talk.press(counting.count_done, int(which))
