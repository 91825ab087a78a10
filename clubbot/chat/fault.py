"""Faults in chat."""

from __future__ import annotations

from clubbot.chat.heard import number
from clubbot.chat.talk import Talk
from clubbot.desk import danger, fault, placing, triage, usability
from clubbot.desk.acting import Answer
from clubbot.desk.talk import hear, is_danger
from clubbot.rules.model import FaultId, Reason, Refused


async def report(talk: Talk, text: str) -> None:
    answer = await danger_too(talk, text, await talk.ask(fault.report, text))
    if answer is not None:
        await talk.answer(answer)


async def heard(talk: Talk, text: str, addressed: bool) -> Answer | None:
    """Ask the desk what a sentence is, and return its answer."""
    return await danger_too(talk, text, await talk.ask(hear, text, addressed))


async def danger_first(talk: Talk, text: str) -> bool:
    """Report the danger that the words after a command tell of; return whether they did."""
    answer = await talk.ask(is_danger, text)
    if answer is None or answer.value is False:
        return False
    await report(talk, text)
    return True


async def danger_too(talk: Talk, text: str, answer: Answer | None) -> Answer | None:
    """Return an answer, but for danger that somebody says who is in no club."""
    if answer is None or answer.value != Refused(Reason.NO_SUCH_CLUB):
        return answer
    return await talk.ask(danger.hear_unknown, text)


async def withdraw(talk: Talk, text: str) -> None:
    await talk.say(usability.withdraw, text)


async def restore(talk: Talk, text: str) -> None:
    await talk.say(usability.restore, text)


async def release(talk: Talk, text: str) -> None:
    await talk.say(usability.release, text)


async def kit(talk: Talk, which: str) -> None:
    await talk.press(placing.report_kit, int(which))


async def restore_kit(talk: Talk, which: str) -> None:
    await talk.press(usability.restore_kit, int(which))


async def release_kit(talk: Talk, which: str) -> None:
    await talk.say(usability.release_kit, int(which))


async def have_it(talk: Talk, which: str) -> None:
    await talk.press(danger.take, FaultId(int(which)))


async def check(talk: Talk, text: str) -> None:
    which = number(text)
    await talk.say(triage.check_number, which, "" if which is not None else text.strip())


async def check_it(talk: Talk, which: str) -> None:
    await talk.say(triage.check, FaultId(int(which)))


async def check_on(talk: Talk, which: str) -> None:
    await talk.press(triage.check_on, FaultId(int(which)))


async def checked(talk: Talk, facts: str) -> None:
    which, code, outcome = facts.split(":")
    await talk.press(triage.checked, FaultId(int(which)), code, outcome)
