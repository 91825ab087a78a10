"""Messages as HTML: every name and text escaped, formatting from the platform's entities."""

from __future__ import annotations

import html
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any
from urllib.parse import urlsplit

from demo.standin import Message
from demo.standin.views import service_note

TAGS = {
    "bold": "b",
    "italic": "i",
    "underline": "u",
    "strikethrough": "s",
    "code": "code",
    "pre": "pre",
    "blockquote": "blockquote",
    "expandable_blockquote": "blockquote",
}
LONGEST_QUOTE = 80
LARGEST = 256
"""Pixels of a photo's longer side, as shown; said beforehand, so that nothing jumps."""


def esc(text: str) -> str:
    """Make a text harmless in HTML, in attributes too."""
    return html.escape(text, quote=True)


@dataclass(frozen=True, slots=True)
class Reader:
    """Who looks, on whose clock, and by what name the bot is known."""

    zone: tzinfo
    bot_name: str
    bot_username: str

    def time(self, moment: datetime) -> str:
        """Return a time of day as an element."""
        local = moment.astimezone(self.zone)
        return f'<time datetime="{local.isoformat()}">{local:%H:%M}</time>'


def long_day(moment: datetime) -> str:
    """Return "Friday 23 October 2026"."""
    return f"{moment:%A} {moment.day} {moment:%B} {moment.year}"


def formatted(text: str, entities: list[dict[str, Any]], reader: Reader, *, live: bool) -> str:
    """Return a text with its entities as HTML; `live`: its commands can be used by a tap."""
    units = text.encode("utf-16-le")
    pieces = [
        each
        for each in sorted(entities, key=lambda e: (e["offset"], -e["length"]))
        if each["length"] > 0
    ]
    return "".join(_between(units, 0, len(units) // 2, pieces, reader, live))


def _between(
    units: bytes, start: int, end: int, pieces: list[dict[str, Any]], reader: Reader, live: bool
) -> Iterator[str]:
    """Yield the HTML of the UTF-16 units in [start, end), with the entities that lie in them."""
    at = start
    while pieces and pieces[0]["offset"] < end:
        piece = pieces.pop(0)
        first = max(piece["offset"], at)
        last = min(piece["offset"] + piece["length"], end)
        if first >= last:
            continue
        yield esc(_part(units, at, first))
        inside = [p for p in pieces if p["offset"] < last]
        del pieces[: len(inside)]
        inner = "".join(_between(units, first, last, inside, reader, live))
        yield _wrapped(piece, inner, _part(units, first, last), reader, live)
        at = last
    yield esc(_part(units, at, end))


def _part(units: bytes, start: int, end: int) -> str:
    return units[2 * start : 2 * end].decode("utf-16-le", "replace")


def _wrapped(piece: dict[str, Any], inner: str, plain: str, reader: Reader, live: bool) -> str:
    kind = piece["type"]
    if tag := TAGS.get(kind):
        return f"<{tag}>{inner}</{tag}>"
    if kind == "bot_command" and live:
        return f'<button type="button" class="word" data-say="{esc(plain)}">{inner}</button>'
    if kind in ("url", "text_link"):
        return _link(str(piece.get("url", plain)), inner, reader)
    return inner


def _link(address: str, inner: str, reader: Reader) -> str:
    if not address.startswith(("https://", "http://")):
        return inner
    parts = urlsplit(address)
    if parts.netloc == "t.me" and parts.path.strip("/").lower() == reader.bot_username.lower():
        return f'<button type="button" class="word" data-link="{esc(address)}">{inner}</button>'
    return f'<a href="{esc(address)}" rel="noopener noreferrer" target="_blank">{inner}</a>'


def speaker(message: Message, reader: Reader) -> str:
    """Return the name of who said it, not yet escaped."""
    return message.sender.name if message.sender else reader.bot_name


def entry(message: Message, reader: Reader) -> str:
    """Return a message as one item of the record."""
    number, kind = message.id, "bot" if message.from_bot else "person"
    if message.service:
        note = service_note(message) or "something about this chat changed"
        return (
            f'<li class="entry note" id="m{number}"><p>{reader.time(message.date)} '
            f"{esc(note)}</p></li>"
        )
    changed = f" <span>changed {reader.time(message.edited)}</span>" if message.edited else ""
    name = esc(speaker(message, reader))
    answer = (
        f'<button type="button" class="quiet" data-answer="{number}" aria-label="Answer {name}" '
        f'data-quote="{esc(_quote(message, reader))}">answer</button>'
    )
    return (
        f'<li class="entry {kind}" id="m{number}" tabindex="-1">'
        f'<p class="who"><b>{name}</b> '
        f"<small>{reader.time(message.date)}{changed} {answer}</small></p>"
        f"{_answered(message, reader)}{_picture(message, reader)}{_said(message, reader)}"
        f"{_choices(message)}</li>"
    )


def _answered(message: Message, reader: Reader) -> str:
    if message.reply_to is None:
        return ""
    return f'<p class="answered">in answer to {esc(_quote(message.reply_to, reader))}</p>'


def _quote(message: Message, reader: Reader) -> str:
    words = " ".join(message.text.split()) or "a picture"
    short = words if len(words) <= LONGEST_QUOTE else words[: LONGEST_QUOTE - 1] + "…"
    return f"{speaker(message, reader)}: “{short}”"


def _picture(message: Message, reader: Reader) -> str:
    if sizes := message.content.get("photo"):
        who = esc(speaker(message, reader))
        size = sizes[-1]
        shrink = min(1.0, LARGEST / max(size["width"], size["height"]))
        return (
            f'<p><img src="/control/files/{esc(size["file_id"])}" alt="Photo from {who}" '
            f'width="{size["width"] * shrink:.0f}" height="{size["height"] * shrink:.0f}"></p>'
        )
    if document := message.content.get("document"):
        address, name = f"/control/files/{document['file_id']}", str(document["file_name"])
        return f'<p><a href="{esc(address)}" download="{esc(name)}">{esc(name)}</a></p>'
    return ""


def _said(message: Message, reader: Reader) -> str:
    if not message.text:
        return ""
    words = formatted(message.text, message.entities, reader, live=message.from_bot)
    return f'<div class="said" dir="auto">{words}</div>'


def _choices(message: Message) -> str:
    if not message.buttons:
        return ""
    rows = "".join(
        "<div>"
        + "".join(
            f'<button type="button" data-press="{esc(button.data or button.text)}" '
            f'data-message="{message.id}">{esc(button.text)}</button>'
            for button in row
        )
        + "</div>"
        for row in message.keyboard
    )
    return f'<div class="choices" role="group" aria-label="Choices">{rows}</div>'


def record(messages: list[Message], reader: Reader) -> list[tuple[str, str]]:
    """Return the items of a chat with their ids: a heading for each day, then what was said."""
    found: list[tuple[str, str]] = []
    day = ""
    for message in messages:
        local = message.date.astimezone(reader.zone)
        if (today := long_day(local)) != day:
            day, key = today, f"d{local:%Y%m%d}-{message.id}"
            found.append((key, f'<li class="day" id="{key}"><h3>{day}</h3></li>'))
        found.append((f"m{message.id}", entry(message, reader)))
    return found
