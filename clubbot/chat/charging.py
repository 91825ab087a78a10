"""Charging in chat."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from clubbot.chat.talk import Talk, Use
from clubbot.chat.words import said
from clubbot.chat.words.phrases import Reply
from clubbot.chat.words.things import FIRST
from clubbot.desk import battery as desk_battery
from clubbot.desk import charging, lots, storing
from clubbot.rules.calendar import DAY
from clubbot.rules.energy.saying import bare_level, read
from clubbot.rules.model import KitId
from clubbot.rules.results import ChargeList


async def charge_list(talk: Talk, text: str) -> None:
    answer = await talk.ask(charging.charge_list)
    if answer is not None:
        reply = said(answer.value, answer.view)
        reply = await pictured(reply, [answer.value], answer.view.zone)
        await talk.post.reply(talk.update, reply)


async def pictured(reply: Reply, results: Sequence[object], zone: ZoneInfo) -> Reply:
    """Add the picture of a charge plan, where one of the results has a plan to show."""
    lists = (each for each in results if isinstance(each, ChargeList))
    plan = next((each.plan for each in lists if each.plan is not None and each.plan.steps), None)
    if plan is None:
        return reply
    from clubbot.pictures.charging import charge_picture

    return replace(reply, photo=await asyncio.to_thread(charge_picture, plan, zone))


async def put_on(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.put_on, facts)


async def showing(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.showing, facts)


async def not_charging(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.not_charging, facts)


async def swapped(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.swapped, facts)


async def done(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.done, facts)


async def not_done(talk: Talk, facts: str) -> None:
    await _lot(talk, lots.not_done, facts)


async def _lot(talk: Talk, use: Use, facts: str) -> None:
    """Do what a button says of the units and tablets that it names.

    Each is twice its kit's number, odd for a tablet; after them stands the button's day.
    """
    codes, _, day = facts.partition("-")
    numbers = [int(code, 36) for code in codes.split(".")]
    things = [(KitId(number // 2), bool(number % 2)) for number in numbers]
    await talk.press(use, things, FIRST + int(day, 36) * DAY if day else None)


async def charged(talk: Talk, text: str) -> None:
    await talk.say(charging.charged, text)


async def half_full(talk: Talk, codes: str) -> None:
    """Note that the units that a button names, twice a kit's number each, are about half full."""
    await talk.press(storing.half_full, [KitId(int(code, 36) // 2) for code in codes.split(".")])


async def battery(talk: Talk, text: str) -> None:
    says = read(text) or bare_level(text)
    await talk.say(desk_battery.say_of_battery if says else desk_battery.battery, text)


async def flat_cause(talk: Talk, facts: str) -> None:
    kit, _, why = facts.partition(":")
    await talk.press(desk_battery.flat_cause, int(kit), why)


async def battery_said(talk: Talk, facts: str) -> None:
    kit, _, what = facts.partition(":")
    await talk.press(desk_battery.press_of_battery, int(kit), what)


async def listed(talk: Talk, day: str) -> None:
    await talk.press(charging.listed_charged, day)
