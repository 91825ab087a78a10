"""A walk through the store room in chat: one message, changed in place."""

from __future__ import annotations

from clubbot.chat.talk import Talk, Use
from clubbot.chat.words import said
from clubbot.chat.words.stocktaking import goes_on_elsewhere
from clubbot.desk import stocktaking as walks
from clubbot.desk.acting import Answer
from clubbot.rules.results import StockEnd, StockKit
from clubbot.rules.sending import Sent


async def stocktake(talk: Talk, text: str) -> None:
    """Begin a walk, or go on with it, in a new message."""
    answer = await talk.ask(walks.stocktake)
    if answer is not None:
        outcome = await talk.post.reply(talk.update, said(answer.value, answer.view))
        if isinstance(outcome, Sent) and outcome.message_id is not None:
            await _here(talk, answer, outcome.message_id)


async def anew(talk: Talk, _: str) -> None:
    await _from_here(talk, walks.stocktake_anew)


async def go_on(talk: Talk, _: str) -> None:
    await _from_here(talk, walks.stocktake_go_on)


async def _from_here(talk: Talk, use: Use) -> None:
    """Let the walk go on in the message with the pressed button."""
    answer = await talk.press(use)
    query = talk.update.callback_query
    if answer is not None and query is not None and query.message is not None:
        await _here(talk, answer, query.message.message_id)


async def _here(talk: Talk, answer: Answer, message: int) -> None:
    """Keep this message for the walk; the one that it stood in before says so."""
    if not isinstance(answer.value, StockKit | StockEnd):
        return
    await talk.ask(walks.keep_stock_message, message)
    chat = talk.update.effective_chat
    before = answer.value.before
    if before is not None and chat is not None and before != (chat.id, message):
        await talk.post.put_in_place(*before, goes_on_elsewhere())


async def seen(talk: Talk, facts: str) -> None:
    kit, _, what = facts.partition(":")
    await talk.press(walks.stock_seen, int(kit), what)


async def parts(talk: Talk, facts: str) -> None:
    kit, _, place = facts.partition(":")
    await talk.press(walks.stock_parts, int(kit), int(place) if place else None)


async def parts_done(talk: Talk, kit: str) -> None:
    await talk.press(walks.stock_parts_done, int(kit))


async def later(talk: Talk, kit: str) -> None:
    await talk.press(walks.stock_later, int(kit))


async def again(talk: Talk, kit: str) -> None:
    await talk.press(walks.stock_again, int(kit))


async def end(talk: Talk, _: str) -> None:
    await talk.press(walks.stock_end)


async def put_right(talk: Talk, _: str) -> None:
    await talk.press(walks.stock_put_right)
