"""Bookings in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import booking
from clubbot.desk.talk import stop as stop_dialogue


async def free(talk: Talk, text: str) -> None:
    await talk.say(booking.free, text)


async def book(talk: Talk, text: str) -> None:
    await talk.say(booking.request, text)


async def mine(talk: Talk, text: str) -> None:
    await talk.say(booking.mine)


async def cancel(talk: Talk, text: str) -> None:
    if text.lstrip("#").isdecimal():
        await talk.say(booking.cancel, int(text.lstrip("#")))
    else:
        await talk.say(booking.mine)


async def more(talk: Talk, phrase: str) -> None:
    await talk.press(booking.go_on, phrase)


async def team(talk: Talk, number: str) -> None:
    await talk.press(booking.go_on, "", int(number))


async def new(talk: Talk, phrase: str) -> None:
    await talk.press(booking.request, phrase)


async def reading(talk: Talk, place: str) -> None:
    await talk.press(booking.choose_reading, int(place))


async def cancel_one(talk: Talk, number: str) -> None:
    await talk.press(booking.cancel, int(number))


async def stop(talk: Talk, _: str) -> None:
    await talk.press(stop_dialogue)
