"""Faults in chat."""

from __future__ import annotations

from telegram import Message

from clubbot.chat.heard import number
from clubbot.chat.talk import Talk
from clubbot.desk import claiming, danger, fault, triage
from clubbot.desk.acting import Answer
from clubbot.desk.talk import hear
from clubbot.rules.model import FaultId, Reason, Refused


async def report(talk: Talk, text: str) -> None:
    answer = await _danger_too(talk, text, await talk.ask(fault.report, text))
    if answer is not None:
        await talk.answer(answer)


async def heard(talk: Talk, text: str, addressed: bool) -> Answer | None:
    """Ask the desk what a sentence is, and return its answer."""
    return await _danger_too(talk, text, await talk.ask(hear, text, addressed))


async def _danger_too(talk: Talk, text: str, answer: Answer | None) -> Answer | None:
    """Return an answer, but for danger that somebody says who is in no club."""
    if answer is None or answer.value != Refused(Reason.NO_SUCH_CLUB):
        return answer
    return await talk.ask(danger.hear_unknown, text)


async def photo(talk: Talk, message: Message, caption: str) -> None:
    """A photo or video with or without a caption: the largest size, by the platform's file id."""
    file = message.photo[-1] if message.photo else message.video
    if file is not None:
        kind = "photo" if message.photo else "video"
        what = (file.file_id, file.file_unique_id, kind)
        asked = await talk.ask(fault.report_with_photo, caption, what)
        answer = await _danger_too(talk, caption, asked)
        if answer is not None:
            await talk.answer(answer)


async def faults(talk: Talk, text: str) -> None:
    await talk.say(fault.open_faults)


async def fixed(talk: Talk, text: str) -> None:
    first, _, done = text.partition(" ")
    which = number(first)
    if which is None:
        await talk.say(fault.open_faults)
    else:
        await talk.say(fault.close, which, done)


async def withdraw(talk: Talk, text: str) -> None:
    await talk.say(fault.withdraw, text)


async def restore(talk: Talk, text: str) -> None:
    await talk.say(fault.restore, text)


async def release(talk: Talk, text: str) -> None:
    await talk.say(fault.release, text)


async def kit(talk: Talk, which: str) -> None:
    await talk.press(fault.report_kit, int(which))


async def restore_kit(talk: Talk, which: str) -> None:
    await talk.press(fault.restore_kit, int(which))


async def have_it(talk: Talk, which: str) -> None:
    await talk.press(danger.take, FaultId(int(which)))


async def check(talk: Talk, text: str) -> None:
    await talk.say(triage.check_number, number(text))


async def check_it(talk: Talk, which: str) -> None:
    await talk.say(triage.check, FaultId(int(which)))


async def checked(talk: Talk, facts: str) -> None:
    which, code, outcome = facts.split(":")
    await talk.press(triage.checked, FaultId(int(which)), code, outcome)


async def claim(talk: Talk, text: str) -> None:
    which = number(text)
    if which is None:
        await talk.say(fault.open_faults)
    else:
        await talk.say(claiming.letter, which)


async def claim_sent(talk: Talk, which: str) -> None:
    await talk.press(claiming.sent, FaultId(int(which)))
