"""What is kept of people and what they are told, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import leaving, minding, muting


async def sent(talk: Talk, text: str) -> None:
    name, _, page = text.rpartition(" ")
    if page.isdecimal() and len(page) < 4:
        await talk.say(minding.sent, name, int(page))
    else:
        await talk.say(minding.sent, text)


async def sent_page(talk: Talk, facts: str) -> None:
    page, _, person = facts.partition(":")
    await talk.press(minding.sent_to, int(person), int(page))


async def my_data(talk: Talk, text: str) -> None:
    await talk.say(leaving.my_data)


async def mute(talk: Talk, text: str) -> None:
    await (talk.say(muting.switch, text) if text else talk.say(muting.mine))


async def mute_it(talk: Talk, kind: str) -> None:
    await talk.press(muting.switch, kind)
