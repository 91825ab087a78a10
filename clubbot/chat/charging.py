"""Charging in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import battery as desk_battery
from clubbot.desk import charging
from clubbot.rules.energy.saying import read


async def charge_list(talk: Talk, text: str) -> None:
    await talk.say(charging.charge_list)


async def charged(talk: Talk, text: str) -> None:
    await talk.say(charging.charged, text)


async def battery(talk: Talk, text: str) -> None:
    await talk.say(desk_battery.say_of_battery if read(text) else desk_battery.battery, text)


async def battery_said(talk: Talk, facts: str) -> None:
    kit, _, what = facts.partition(":")
    await talk.press(desk_battery.press_of_battery, int(kit), what)


async def listed(talk: Talk, day: str) -> None:
    await talk.press(charging.listed_charged, day)
