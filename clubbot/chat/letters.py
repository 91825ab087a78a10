"""A reply as messages that the platform takes: long texts in parts, each whole HTML by itself."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass

from telegram import InlineKeyboardButton, InlineKeyboardMarkup, Message
from telegram.constants import MessageLimit

from clubbot.chat.words.phrases import Reply

LONGEST = int(MessageLimit.MAX_TEXT_LENGTH)
_PIECE = re.compile(r"<(/?)([a-z-]+)[^>]*>|&#?\w+;|.", re.DOTALL)


@dataclass(slots=True)
class Letter:
    """One message on its way; what is learned on the way is written here.

    `answers` and `edits` are ids of messages in the same chat, `thread` is a topic's.
    """

    chat_id: int
    text: str
    markup: InlineKeyboardMarkup | None = None
    photo: bytes | str | None = None
    video: bytes | str | None = None
    document: tuple[str, bytes] | None = None
    thread: int | None = None
    answers: int | None = None
    edits: int | None = None
    in_place: bool = False
    """Whether it is of no use as a new message where the one it edits is gone."""
    html: bool = True
    moves: int = 0


def letters_of(
    reply: Reply, chat_id: int, *, thread: int | None = None, answers: int | None = None
) -> list[Letter]:
    """Return the messages that say a reply: what comes with it first, buttons under the last."""
    letters = [Letter(chat_id, text, thread=thread) for text in split(reply.text)]
    if any(each is not None for each in (reply.photo, reply.video, reply.document)):
        if not letters or units(reply.text) > int(MessageLimit.CAPTION_LENGTH):
            letters.insert(0, Letter(chat_id, "", thread=thread))
        letters[0].photo, letters[0].document = reply.photo, reply.document
        letters[0].video = reply.video
    if letters:
        letters[0].answers = answers
        letters[-1].markup = _markup(reply)
    return letters


def topic(message: object) -> int | None:
    """Return the topic to answer in: messages outside topics carry thread ids that are refused."""
    if isinstance(message, Message) and message.is_topic_message:
        return message.message_thread_id
    return None


def _markup(reply: Reply) -> InlineKeyboardMarkup | None:
    if not reply.buttons:
        return None
    return InlineKeyboardMarkup(
        [
            [
                InlineKeyboardButton(button.text, callback_data=button.data, url=button.url)
                for button in row
            ]
            for row in reply.buttons
        ]
    )


def units(text: str) -> int:
    """Return the length as the platform counts it at its strictest: in UTF-16 code units."""
    return len(text) + sum(char > "\uffff" for char in text)


def plain(text: str) -> str:
    """Return what people see of an HTML text."""
    return html.unescape(re.sub(r"</?[a-z-]+[^>]*>", "", text))


def split(text: str, longest: int = LONGEST) -> list[str]:
    """Cut an HTML text at line ends, else at spaces, into parts of at most `longest` units.

    What is open at a cut (bold, a link) is closed there and opened again in the next part. The
    white space at a cut is left out. Tags count towards the length, so parts are short enough
    however the platform counts.
    """
    if units(text) <= longest:
        return [text]
    pieces = list(_PIECE.finditer(text))
    parts: list[str] = []
    opened: list[re.Match[str]] = []
    start = 0
    while start < len(pieces):
        stop, opened_after = _fill(pieces, start, opened, longest)
        part = "".join(each[0] for each in (*opened, *pieces[start:stop]))
        parts.append(part.strip() + _closing(opened_after))
        while stop < len(pieces) and pieces[stop][0].isspace():
            stop += 1
        start, opened = stop, opened_after
    return [part for part in parts if plain(part).strip()] or [""]


def _fill(
    pieces: list[re.Match[str]], start: int, opened: list[re.Match[str]], longest: int
) -> tuple[int, list[re.Match[str]]]:
    """Return where the part that starts here ends, and which tags are open there."""
    opened = list(opened)
    length = sum(units(tag[0]) for tag in opened)
    at_line = at_space = None
    for place in range(start, len(pieces)):
        piece = pieces[place]
        if piece[0] == "\n":
            at_line = (place, list(opened))
        elif piece[0].isspace():
            at_space = (place, list(opened))
        after = _after(opened, piece)
        if length + units(piece[0]) + len(_closing(after)) > longest and place > start:
            return at_line or at_space or (place, opened)
        opened = after
        length += units(piece[0])
    return len(pieces), opened


def _after(opened: list[re.Match[str]], piece: re.Match[str]) -> list[re.Match[str]]:
    if piece[2] is None:
        return opened
    return opened[:-1] if piece[1] else [*opened, piece]


def _closing(opened: list[re.Match[str]]) -> str:
    return "".join(f"</{tag[2]}>" for tag in reversed(opened))
