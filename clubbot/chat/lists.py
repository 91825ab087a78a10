"""Today's list in chat: shown, kept up to date in place, printed."""

from __future__ import annotations

import asyncio

from clubbot.chat.talk import Talk, Use
from clubbot.chat.words import said, together
from clubbot.chat.words.phrases import Reply
from clubbot.chat.words.today import to_print
from clubbot.desk import lists
from clubbot.desk import today as days
from clubbot.pictures.today import page
from clubbot.rules.model import Refused
from clubbot.rules.results import Today
from clubbot.rules.sending import Sent


async def today(talk: Talk, text: str) -> None:
    """Show today's list; from now on this message is the one kept up to date."""
    answer = await talk.ask(days.today)
    if answer is None:
        return
    outcome = await talk.post.reply(talk.update, said(answer.value, answer.view))
    if isinstance(outcome, Sent) and isinstance(answer.value, Today):
        await talk.ask(lists.keep_list, outcome.message_id)


async def pressed(talk: Talk, use: Use, *args: object) -> None:
    """Do what a button under today's list says; the list stays, with the answer above it."""
    answer = await talk.ask(use, *args)
    if answer is None:
        return
    shown = await talk.ask(days.today)
    if isinstance(answer.value, Refused) or shown is None or isinstance(shown.value, Refused):
        await talk.post.reply(talk.update, said(answer.value, answer.view))
        return
    reply = together([shown.value], shown.view)
    first = said(answer.value, answer.view)
    undo = tuple(row for row in first.buttons if len(row) == 1 and row[0].text == "Undo")
    text = f"{first.text}\n\n{reply.text}"
    await talk.post.edit(talk.update, Reply(text, (*undo, *reply.buttons)))
    await talk.keep_lists(answer)


async def printed(talk: Talk, text: str) -> None:
    """Send today's list as a page with boxes to tick, for a day without a network."""
    answer = await talk.ask(days.today)
    if answer is None:
        return
    reply = said(answer.value, answer.view)
    if isinstance(answer.value, Today):
        view = answer.view
        reply = to_print(
            answer.value.day, await asyncio.to_thread(page, answer.value, view.zone, view.club)
        )
    await talk.post.reply(talk.update, reply)
