"""Bookings in chat."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import UTC, datetime

from clubbot.chat.heard import number
from clubbot.chat.talk import Talk
from clubbot.chat.words import said
from clubbot.desk import booking, changing, keeping, timeline, waiting
from clubbot.desk.talk import stop as stop_dialogue
from clubbot.pictures.timeline import timeline as draw
from clubbot.rules.results import Timeline


async def free(talk: Talk, text: str) -> None:
    await talk.say(booking.free, text)


async def book(talk: Talk, text: str) -> None:
    await talk.say(booking.request, text)


async def mine(talk: Talk, text: str) -> None:
    await talk.say(booking.mine)


async def cancel(talk: Talk, text: str) -> None:
    which = number(text)
    if which is None:
        await talk.say(booking.mine)
    else:
        await talk.say(booking.cancel, which)


async def more(talk: Talk, phrase: str) -> None:
    await talk.press(booking.go_on, phrase)


async def team(talk: Talk, which: str) -> None:
    await talk.press(booking.go_on, "", int(which))


async def new(talk: Talk, facts: str) -> None:
    team, _, phrase = facts.partition(":")
    await talk.press(booking.request, phrase, int(team) or None)


async def reading(talk: Talk, place: str) -> None:
    await talk.press(booking.choose_reading, int(place))


async def cancel_one(talk: Talk, facts: str) -> None:
    which, _, scope = facts.partition(":")
    await talk.press(booking.cancel, int(which), scope)


async def change(talk: Talk, text: str) -> None:
    await talk.say(changing.change, text)


async def wait(talk: Talk, facts: str) -> None:
    start, end, count, team = (int(fact) for fact in facts.split(":"))
    span = (datetime.fromtimestamp(start, UTC), datetime.fromtimestamp(end, UTC))
    await talk.press(waiting.wait, *span, count, team or None)


async def take(talk: Talk, wish: str) -> None:
    await talk.press(waiting.accept, int(wish))


async def give_up(talk: Talk, wish: str) -> None:
    await talk.press(waiting.give_up, int(wish))


async def approve(talk: Talk, wish: str) -> None:
    await talk.press(waiting.approve, int(wish))


async def decline(talk: Talk, wish: str) -> None:
    await talk.press(waiting.decline, int(wish))


async def week(talk: Talk, text: str) -> None:
    answer = await talk.ask(timeline.timeline, text)
    if answer is None:
        return
    reply = said(answer.value, answer.view)
    if isinstance(answer.value, Timeline) and answer.value.kits:
        picture = await asyncio.to_thread(draw, answer.value, answer.view.zone)
        reply = replace(reply, photo=picture)
    await talk.post.reply(talk.update, reply)


async def keep(talk: Talk, text: str) -> None:
    await talk.say(keeping.keep, text)


async def same_kit(talk: Talk, text: str) -> None:
    await talk.say(keeping.same_kit, text)


async def stop(talk: Talk, _: str) -> None:
    await talk.press(stop_dialogue)
