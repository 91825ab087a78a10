"""A kit's history in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import history as past


async def history(talk: Talk, text: str) -> None:
    await talk.say(past.history, text)


async def page(talk: Talk, facts: str) -> None:
    kit, _, skipped = facts.partition(":")
    await talk.press(past.history_page, int(kit), int(skipped))


async def entry(talk: Talk, facts: str) -> None:
    kit, seq, skipped = (int(fact) for fact in facts.split(":"))
    await talk.press(past.history_entry, kit, seq, skipped)


async def was_not_so(talk: Talk, facts: str) -> None:
    kit, _, seq = facts.partition(":")
    await talk.press(past.was_not_so, int(kit), int(seq))


async def was_so(talk: Talk, facts: str) -> None:
    kit, _, seq = facts.partition(":")
    await talk.press(past.was_so, int(kit), int(seq))
