"""Out and back in chat."""

from __future__ import annotations

from clubbot.chat.heard import number
from clubbot.chat.lists import pressed
from clubbot.chat.talk import Talk
from clubbot.desk import handover, passing, returning, swapping
from clubbot.desk import today as days


async def out(talk: Talk, text: str) -> None:
    booking = number(text) if text.startswith("#") else None
    if booking is not None:
        await talk.say(handover.give_out_booking, booking)
    else:
        await talk.say(handover.give_out, text)


async def back(talk: Talk, text: str) -> None:
    await talk.say(handover.back, text)


async def pass_on(talk: Talk, text: str) -> None:
    await talk.say(passing.pass_on, text)


async def kit(talk: Talk, text: str) -> None:
    await talk.say(days.kit_card, text)


async def undo(talk: Talk, text: str) -> None:
    await talk.say(handover.undo)


async def out_all(talk: Talk, _: str) -> None:
    await pressed(talk, handover.give_out, "")


async def back_all(talk: Talk, _: str) -> None:
    await pressed(talk, handover.back, "all")


async def back_some(talk: Talk, _: str) -> None:
    await talk.press(returning.which_missing, [])


async def missed(talk: Talk, kits: str) -> None:
    await talk.press(returning.which_missing, [int(kit) for kit in kits.split(",")])


async def rest_back(talk: Talk, kits: str) -> None:
    await pressed(talk, returning.take_rest, [int(kit) for kit in kits.split(",")])


async def back_kit(talk: Talk, which: str) -> None:
    await talk.press(handover.back_kit, int(which))


async def all_back(talk: Talk, notice: str) -> None:
    await talk.press(handover.all_back, int(notice))


async def some_missing(talk: Talk, notice: str) -> None:
    await talk.press(handover.some_missing, int(notice))


async def give_to(talk: Talk, facts: str) -> None:
    team, _, kits = facts.partition(":")
    await talk.press(handover.give_to, [int(kit) for kit in kits.split(",")], int(team))


async def pass_to(talk: Talk, facts: str) -> None:
    team, _, kits = facts.partition(":")
    await talk.press(passing.pass_to, [int(kit) for kit in kits.split(",")], int(team))


async def undo_it(talk: Talk, _: str) -> None:
    await talk.press(handover.undo)


async def swap(talk: Talk, text: str) -> None:
    await talk.say(swapping.swap, text)


async def swap_in(talk: Talk, facts: str) -> None:
    number, _, kit = facts.partition(":")
    await pressed(talk, swapping.swap_in, int(number), int(kit))
