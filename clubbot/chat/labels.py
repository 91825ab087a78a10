"""Labels in chat: printed, scanned, and what follows from a scan."""

from __future__ import annotations

import asyncio
from dataclasses import replace

from clubbot.chat.talk import Talk
from clubbot.chat.words import said
from clubbot.desk import handover, labelling, passing, scanning
from clubbot.pictures.labels import labels as draw
from clubbot.rules.results import LabelSheet


async def sheet(talk: Talk, text: str) -> None:
    answer = await talk.ask(labelling.sheet, text)
    if answer is None:
        return
    reply = said(answer.value, answer.view)
    if isinstance(answer.value, LabelSheet):
        view = answer.view
        drawn = await asyncio.to_thread(draw, answer.value, view.club, view.bot)
        reply = replace(reply, document=("labels.pdf", drawn))
    await talk.post.reply(talk.update, reply)


async def on_grid(talk: Talk, text: str) -> None:
    await sheet(talk, text)


async def give_out(talk: Talk, label: str) -> None:
    await talk.press(handover.give_out, label)


async def pass_on(talk: Talk, label: str) -> None:
    await talk.press(passing.pass_on, label)


async def wrong(talk: Talk, kit: str) -> None:
    await talk.press(scanning.wrong, int(kit))


async def mixed(talk: Talk, facts: str) -> None:
    await talk.press(scanning.mixed, [int(kit) for kit in facts.split(":")])


async def apart(talk: Talk, mix: str) -> None:
    await talk.press(scanning.apart, int(mix))


async def still_mixed(talk: Talk, mix: str) -> None:
    await talk.press(scanning.still_mixed, int(mix))
