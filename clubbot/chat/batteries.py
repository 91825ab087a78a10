"""Run-time tests and the health of batteries in chat, each with its picture."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from clubbot.chat.talk import Talk, Use
from clubbot.chat.words import said
from clubbot.chat.words.health import evidence
from clubbot.desk import claiming, health, testday
from clubbot.desk.acting import Answer
from clubbot.rules.model import FaultId, KitId
from clubbot.rules.results import BatteryClaim, BatteryHealth, RunTimes, TestDayOver


async def test_day(talk: Talk, text: str) -> None:
    await _show(talk, await talk.ask(testday.test_day, text))


async def start(talk: Talk, codes: str) -> None:
    chosen = [] if codes == "all" else [KitId(int(code, 36) // 2) for code in codes.split(".")]
    await _press(talk, testday.start, chosen)


async def stopped(talk: Talk, kit: str) -> None:
    await _press(talk, testday.stopped, KitId(int(kit)))


async def take_back(talk: Talk, _: str) -> None:
    await _press(talk, testday.take_back)


async def end(talk: Talk, _: str) -> None:
    await _press(talk, testday.end)


async def go_on(talk: Talk, _: str) -> None:
    await _press(talk, testday.go_on)


async def battery_health(talk: Talk, text: str) -> None:
    await _show(talk, await talk.ask(health.battery_health, text))


async def health_of(talk: Talk, kit: str) -> None:
    await _show(talk, await talk.ask(health.health_of, KitId(int(kit))))


async def put_out(talk: Talk, kit: str) -> None:
    await talk.press(health.put_out, KitId(int(kit)))


async def short_uses(talk: Talk, facts: str) -> None:
    kit, _, which = facts.partition(":")
    use = health.short_only if which == "only" else health.all_uses
    await talk.press(use, KitId(int(kit)))


async def claim(talk: Talk, kit: str) -> None:
    """Note what shows that a battery is weak as a fault, then show the letter about it."""
    seen = await talk.ask(health.health_of, KitId(int(kit)))
    if seen is None or not isinstance(seen.value, BatteryHealth):
        return
    answer = await talk.press(health.claim, KitId(int(kit)), evidence(seen.value))
    if answer is not None and isinstance(answer.value, BatteryClaim):
        await talk.say(claiming.letter_about, FaultId(answer.value.fault))


async def _press(talk: Talk, use: Use, *args: Any) -> None:
    """Put the answer in place of the pressed button's message; a picture comes as a new one."""
    answer = await talk.ask(use, *args)
    if answer is not None and _draws(answer.value) is None:
        await talk.post.edit(talk.update, said(answer.value, answer.view))
    else:
        await _show(talk, answer)


async def _show(talk: Talk, answer: Answer | None) -> None:
    """Answer in the chat, with a picture where the result has one."""
    if answer is None:
        return
    reply, draw = said(answer.value, answer.view), _draws(answer.value)
    if draw is not None:
        reply = replace(reply, photo=await asyncio.to_thread(draw, answer.value))
    await talk.post.reply(talk.update, reply)


def _draws(value: object) -> Callable[[Any], bytes] | None:
    """Return what draws a result; the drawing is loaded when it is first asked for."""
    if not isinstance(value, TestDayOver | RunTimes | BatteryHealth):
        return None
    from clubbot.pictures import run_times

    if isinstance(value, TestDayOver):
        return run_times.test_picture if value.lines else None
    return run_times.fleet_picture if isinstance(value, RunTimes) else run_times.health_picture
