"""Letters to the supplier in chat: as a text, as a PDF, and what comes of them."""

from __future__ import annotations

import asyncio

from clubbot.chat.heard import number
from clubbot.chat.mending import fetched
from clubbot.chat.talk import Talk
from clubbot.chat.words import claiming as wording
from clubbot.desk import claiming, supplier
from clubbot.rules.model import FaultId
from clubbot.rules.results import ClaimLetter


async def claim(talk: Talk, text: str) -> None:
    """A letter about a fault; once it is sent, what the supplier says: "3 replaced S-99"."""
    first, _, words = text.partition(" ")
    which = number(first)
    if which is None:
        await talk.say(supplier.out)
        return
    if words.strip():
        await talk.say(supplier.said, which, words.strip())
        return
    answer = await talk.ask(supplier.stands, which)
    if answer is not None and answer.value is not None:
        await talk.answer(answer)
    else:
        await talk.say(claiming.letter, which)


async def claim_it(talk: Talk, which: str) -> None:
    await talk.say(claiming.letter_about, FaultId(int(which)))


async def paper(talk: Talk, which: str) -> None:
    """Send the letter as a PDF, with the stills of what an adult has looked through."""
    answer = await talk.ask(claiming.letter_about, FaultId(int(which)))
    if answer is None:
        return
    letter, view = answer.value, answer.view
    if not isinstance(letter, ClaimLetter):
        await talk.answer(answer)
        return
    from clubbot.pictures.claim import page

    stills = await _stills(talk, FaultId(int(which)))
    content = await asyncio.to_thread(page, wording.paper(letter, view), stills)
    await talk.post.reply(talk.update, wording.to_send(letter, content, len(stills), view))


async def _stills(talk: Talk, which: FaultId) -> list[bytes]:
    answer = await talk.ask(claiming.stills, which)
    found = answer.value if answer is not None else None
    contents = (
        [await fetched(talk, file_id) for file_id in found if file_id]
        if isinstance(found, list)
        else []
    )
    return [each for each in contents if each is not None]


async def sent(talk: Talk, which: str) -> None:
    await talk.press(supplier.sent, FaultId(int(which)))


async def due(talk: Talk, facts: str) -> None:
    which, days = facts.split(":")
    await talk.press(supplier.promised, FaultId(int(which)), int(days))


async def end(talk: Talk, facts: str) -> None:
    which, outcome = facts.split(":")
    await talk.press(supplier.ended, FaultId(int(which)), outcome)
