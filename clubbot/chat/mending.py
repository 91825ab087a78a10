"""One fault in chat: its card, what was done, its pictures, the club's own words."""

from __future__ import annotations

import logging

from telegram import Message
from telegram.error import TelegramError

from clubbot.chat.fault import danger_too
from clubbot.chat.heard import number, numbered
from clubbot.chat.talk import Talk
from clubbot.chat.words.phrases import Reply
from clubbot.desk import fault, mending, showing, wording
from clubbot.rules.model import FaultId

log = logging.getLogger(__name__)
LARGEST = 20 * 1024 * 1024
"""What the platform hands out at most, in bytes."""


async def faults(talk: Talk, text: str) -> None:
    which = number(text)
    if which is None:
        await talk.say(fault.open_faults)
    else:
        await talk.say(mending.card, which)


async def card(talk: Talk, which: str) -> None:
    await talk.say(mending.card, int(which))


async def fixed(talk: Talk, text: str) -> None:
    which, done = numbered(text)
    if which is None and not done:
        await talk.say(fault.open_faults)
    else:
        await talk.say(mending.close, which, done)


async def fixed_it(talk: Talk, which: str) -> None:
    await talk.say(mending.close_it, FaultId(int(which)))


async def fixed_by(talk: Talk, facts: str) -> None:
    which, cause = facts.split(":")
    await talk.press(mending.fixed_by, FaultId(int(which)), cause)


async def because(talk: Talk, facts: str) -> None:
    which, cause = facts.split(":")
    await talk.say(mending.because, FaultId(int(which)), cause)


async def is_back(talk: Talk, which: str) -> None:
    await talk.say(mending.is_back, FaultId(int(which)))


async def watch(talk: Talk, which: str) -> None:
    await talk.press(mending.watch, FaultId(int(which)))


async def put(talk: Talk, facts: str) -> None:
    which, use = facts.split(":")
    await talk.press(mending.put, FaultId(int(which)), use)


async def blame(talk: Talk, facts: str) -> None:
    which, thing = facts.split(":")
    await talk.press(mending.blame, FaultId(int(which)), thing)


async def photo(talk: Talk, message: Message, caption: str) -> None:
    """A photo or video with or without a caption: the largest size, by the platform's file id."""
    file = message.photo[-1] if message.photo else message.video
    if file is None:
        return
    still = message.video.thumbnail if message.video else None
    what = showing.Photo(
        file.file_id,
        file.file_unique_id,
        "photo" if message.photo else "video",
        still.file_id if still else "",
    )
    asked = await talk.ask(showing.report_with_photo, caption, what)
    answer = await danger_too(talk, caption, asked)
    if answer is not None:
        await talk.answer(answer)


async def add_picture(talk: Talk, which: str) -> None:
    await talk.say(showing.await_picture, FaultId(int(which)))


async def show(talk: Talk, which: str) -> None:
    """Send a fault's pictures again: by their file ids, or as the files that are kept."""
    answer = await talk.ask(showing.shown, FaultId(int(which)))
    if answer is None:
        return
    if not isinstance(answer.value, list):
        await talk.answer(answer)
        return
    for each in answer.value:
        what = each.file_id if each.content is None else each.content
        reply = Reply("", video=what) if each.kind == "video" else Reply("", photo=what)
        await talk.post.reply(talk.update, reply)


async def keep_copies(talk: Talk, which: str) -> None:
    """Fetch the files of a fault's pictures and keep them."""
    answer = await talk.ask(showing.shown, FaultId(int(which)))
    if answer is None:
        return
    if not isinstance(answer.value, list):
        await talk.answer(answer)
        return
    files, failed = {}, 0
    for each in answer.value:
        content = each.content or await fetched(talk, each.file_id)
        if content is None:
            failed += 1
        else:
            files[each.id] = content
    await talk.say(showing.keep_copies, FaultId(int(which)), files, failed)


async def fetched(talk: Talk, file_id: str) -> bytes | None:
    """Return a file's content; None where the platform doesn't hand it out."""
    try:
        found = await talk.post.bot.get_file(file_id)
        if (found.file_size or 0) > LARGEST:
            return None
        return bytes(await found.download_as_bytearray())
    except TelegramError as error:
        log.warning("A picture couldn't be fetched: %s", error.message)
        return None


async def looked(talk: Talk, which: str) -> None:
    await talk.say(showing.looked, FaultId(int(which)))


async def hints(talk: Talk, text: str) -> None:
    if text:
        await talk.say(wording.say, text)
    else:
        await talk.say(wording.every)


async def own_word(talk: Talk, code: str) -> None:
    await talk.say(wording.ask, code)


async def drop_word(talk: Talk, which: str) -> None:
    await talk.press(wording.drop, int(which))
