"""A kit's history in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk, Use
from clubbot.chat.words import said
from clubbot.desk import history as past
from clubbot.rules.model import Refused


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
    await _put_right(talk, past.was_not_so, int(kit), int(seq))


async def was_so(talk: Talk, facts: str) -> None:
    kit, _, seq = facts.partition(":")
    await _put_right(talk, past.was_so, int(kit), int(seq))


async def _put_right(talk: Talk, use: Use, kit: int, seq: int) -> None:
    """Put one entry right in the list's place; a no stands beside it, so that the list stays."""
    answer = await talk.ask(use, kit, seq)
    if answer is None:
        return
    reply = said(answer.value, answer.view)
    if isinstance(answer.value, Refused):
        await talk.post.reply(talk.update, reply)
    else:
        await talk.post.edit(talk.update, reply)
        await talk.keep_lists(answer)
