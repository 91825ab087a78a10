"""Parts and spares in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import ordering, parts

_LOOKS = {
    "": parts.shown,
    "books": ordering.books,
    "order": ordering.order,
    "missing": ordering.gone,
}


async def show(talk: Talk, text: str) -> None:
    look = _LOOKS.get(text.strip().casefold())
    await (talk.say(parts.note, text) if look is None else talk.say(look))


async def make_whole(talk: Talk, kit: str) -> None:
    await talk.press(parts.make_whole, int(kit))


async def lend(talk: Talk, facts: str) -> None:
    lender, _, kit = facts.partition(":")
    await talk.press(parts.lend, int(lender), int(kit))


async def shelve_found(talk: Talk, _: str) -> None:
    await talk.press(parts.shelve_found)


async def books(talk: Talk, _: str) -> None:
    await talk.say(ordering.books)


async def order(talk: Talk, _: str) -> None:
    await talk.say(ordering.order)


async def gone(talk: Talk, _: str) -> None:
    await talk.say(ordering.gone)


async def ordered(talk: Talk, key: str) -> None:
    await talk.press(ordering.ordered, key)
