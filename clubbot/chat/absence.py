"""Being away, in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import absence


async def away(talk: Talk, text: str) -> None:
    if text.lower() in ("off", "back", "over"):
        await talk.say(absence.come_back)
    elif text:
        await talk.say(absence.go_away, text)
    else:
        await talk.say(absence.who_is_away)


async def let_act(talk: Talk, facts: str) -> None:
    first, last, person = facts.split(":")
    await talk.press(absence.let_act, first, last, int(person))


async def back(talk: Talk, facts: str) -> None:
    await talk.press(absence.come_back)
