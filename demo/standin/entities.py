"""Texts as the platform keeps them: cleaned, trimmed, measured, with entities."""

from __future__ import annotations

import re
from typing import Any

from .errors import bad_request
from .markup_html import HtmlReader, utf16_length
from .markup_markdown import read_markdown
from .parameters import Params

MAX_TEXT = 4096
MAX_CAPTION = 1024
MAX_ENTITIES = 100

# What the platform's clean_input_string (TDLib, td/telegram/misc.cpp) drops or blanks.
DROPPED = re.compile("[\r\u2028-\u202e\u0333\u033f\u030a]")
BLANKED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")
INVISIBLE = re.compile("[\\s\u00ad\u180e\u200b-\u200f\u2060-\u206f\ufeff]*")

FOUND = re.compile(
    r"(?P<url>https?://[^\s<>\"]+[^\s<>\".,;:!?)\]])"
    r"|(?P<email>\b[\w.+-]+@[\w-]+(?:\.[\w-]+)+)"
    r"|(?<![\w/])(?P<bot_command>/\w{1,64}(?:@\w{3,32})?)(?![\w/])"
    r"|(?<![\w@])(?P<mention>@\w{3,32})(?!\w)"
    r"|(?<![\w#])(?P<hashtag>#\w*[^\W\d]\w*)"
)
ORDER = {
    "blockquote": 0, "expandable_blockquote": 0, "pre": 11, "code": 20, "text_link": 49,
    "text_mention": 49, "bold": 90, "italic": 91, "underline": 92, "strikethrough": 93,
    "spoiler": 94, "custom_emoji": 99,
}  # fmt: skip
QUIET = {"code", "pre", "text_link", "text_mention"}


def clean(text: str) -> str:
    """The text without the control characters that the platform doesn't keep."""
    return BLANKED.sub(" ", DROPPED.sub("", text))


def found(text: str, taken: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Commands, mentions, links and hashtags that the platform marks by itself."""
    entities = []
    for match in FOUND.finditer(text):
        offset = utf16_length(text[: match.start()])
        length = utf16_length(match[0])
        quiet = (e for e in taken if e["type"] in QUIET)
        if not any(e["offset"] < offset + length and offset < end(e) for e in quiet):
            entities.append({"type": match.lastgroup, "offset": offset, "length": length})
    return entities


def end(entity: dict[str, Any]) -> int:
    """Where an entity ends."""
    return int(entity["offset"] + entity["length"])


def sort(entities: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Entities as the platform lists them: by offset, the longer first, then by kind.

    The order of kinds is TDLib's (td/telegram/MessageEntity.cpp, get_type_priority), from memory.
    """
    return sorted(entities, key=lambda e: (e["offset"], -e["length"], ORDER.get(e["type"], 50)))


def trim(text: str, entities: list[dict[str, Any]]) -> tuple[str, list[dict[str, Any]]]:
    """Text and entities without the white space at both ends."""
    start = utf16_length(text) - utf16_length(text.lstrip())
    text = text.strip()
    whole = utf16_length(text)
    kept = []
    for entity in entities:
        first = max(0, entity["offset"] - start)
        last = min(whole, end(entity) - start)
        if last > first:
            kept.append({**entity, "offset": first, "length": last - first})
    return text, kept


def person_text(text: str, limit: int = MAX_TEXT) -> tuple[str, list[dict[str, Any]]]:
    """What a person typed, as the bot will see it."""
    text, _ = trim(clean(text), [])
    if INVISIBLE.fullmatch(text) or utf16_length(text) > limit:
        raise bad_request("a message is 1 to 4096 units long")
    return text, found(text, [])


def _parsed(params: Params, text: str, entities_field: str) -> tuple[str, list[dict[str, Any]]]:
    mode = params.text("parse_mode").lower()
    text = clean(text)
    if mode == "html":
        return HtmlReader(text).read()
    if mode in ("markdown", "markdownv2"):
        return read_markdown(text, modern=mode == "markdownv2")
    if mode and mode != "none":
        raise bad_request("unsupported parse_mode")
    entities = params.json(entities_field, "entities") or []
    for entity in entities:
        if not isinstance(entity, dict) or not {"type", "offset", "length"} <= entity.keys():
            raise bad_request("can't parse entities: Can't find field \"type\"")
        if "user" in entity:
            entity["user_id"] = entity.pop("user")["id"]
    return text, entities


def formatted(params: Params, name: str, entities_field: str) -> tuple[str, list[dict[str, Any]]]:
    """A text or caption field, parsed by its mode, trimmed, with found entities merged in."""
    raw = params.text(name)
    text, entities = trim(*_parsed(params, raw, entities_field))
    return text, sort(entities + found(text, entities))[:MAX_ENTITIES]


def message_text(params: Params) -> dict[str, Any]:
    """The content of a text message, or the platform's refusal."""
    if not params.text("text"):
        raise bad_request("message text is empty")
    text, entities = formatted(params, "text", "entities")
    if INVISIBLE.fullmatch(text):
        raise bad_request("text must be non-empty")
    if utf16_length(text) > MAX_TEXT:
        raise bad_request("message is too long")
    return {"text": text, "entities": entities} if entities else {"text": text}


def caption(params: Params) -> dict[str, Any]:
    """The caption fields of a photo or document, maybe none, or the platform's refusal."""
    text, entities = formatted(params, "caption", "caption_entities")
    if utf16_length(text) > MAX_CAPTION:
        raise bad_request("message caption is too long")
    if not text:
        return {}
    return {"caption": text, "caption_entities": entities} if entities else {"caption": text}
