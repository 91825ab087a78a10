"""What is fitted to which kit, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import fitting
from clubbot.rules.fitting import read


async def fit(talk: Talk, text: str) -> None:
    said = read(text)
    asks = said.kind is None or not said.kit
    await talk.say(fitting.fitted if asks else fitting.fit, text)


async def was_there(talk: Talk, number: str) -> None:
    await talk.press(fitting.was_there, int(number))
