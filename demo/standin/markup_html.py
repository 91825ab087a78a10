"""HTML mode: tags to entities, refused with the words and byte offsets of the platform.

Follows the rules of core.telegram.org/bots/api#html-style and the error texts of TDLib
(github.com/tdlib/td, td/telegram/MessageEntity.cpp and test/message_entities.cpp).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from .errors import bad_request

KINDS = {
    "b": "bold",
    "strong": "bold",
    "i": "italic",
    "em": "italic",
    "u": "underline",
    "ins": "underline",
    "s": "strikethrough",
    "strike": "strikethrough",
    "del": "strikethrough",
    "tg-spoiler": "spoiler",
    "span": "spoiler",
    "code": "code",
    "pre": "pre",
    "a": "text_link",
    "tg-emoji": "custom_emoji",
    "blockquote": "blockquote",
}
NAMED = {"lt": "<", "gt": ">", "amp": "&", "quot": '"'}
CHARACTER = re.compile(r"&(?:#x([0-9a-fA-F]+)|#([0-9]+)|(lt|gt|amp|quot));?")
SPACE = " \t\r\n\v\f"


def utf16_length(text: str) -> int:
    """Length in UTF-16 units, the unit in which the platform counts offsets."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


@dataclass(slots=True)
class Open:
    """A tag that waits for its end."""

    tag: str
    argument: str
    start: int
    at: int


@dataclass(slots=True)
class HtmlReader:
    """One pass over a text in HTML mode."""

    source: str
    at: int = 0
    out: list[str] = field(default_factory=list)
    length: int = 0
    entities: list[dict[str, Any]] = field(default_factory=list)
    nested: list[Open] = field(default_factory=list)

    def read(self) -> tuple[str, list[dict[str, Any]]]:
        """The plain text and its entities; a bad tag is refused as the platform does."""
        while self.at < len(self.source):
            char = self.source[self.at]
            if char == "<":
                self._tag()
            elif char == "&" and (decoded := self._character()):
                self._append(decoded)
            else:
                self._append(char)
                self.at += 1
        if self.nested:
            raise self._error(
                f'Can\'t find end tag corresponding to start tag "{self.nested[-1].tag}"'
            )
        return "".join(self.out), self.entities

    def _error(self, reason: str, at: int | None = None) -> Exception:
        where = "" if at is None else f" at byte offset {len(self.source[:at].encode())}"
        return bad_request(f"can't parse entities: {reason}{where}")

    def _append(self, text: str) -> None:
        self.out.append(text)
        self.length += utf16_length(text)

    def _peek(self) -> str:
        return self.source[self.at] if self.at < len(self.source) else ""

    def _skip(self, stop: str) -> str:
        begin = self.at
        while self._peek() and self._peek() not in stop:
            self.at += 1
        return self.source[begin : self.at]

    def _spaces(self) -> None:
        while self._peek() and self._peek() in SPACE:
            self.at += 1

    def _character(self) -> str:
        found = CHARACTER.match(self.source, self.at)
        if not found:
            return ""
        if found[3]:
            char = NAMED[found[3]]
        else:
            code = int(found[1], 16) if found[1] else int(found[2])
            if not 0 < code < 0x10FFFF or 0xD800 <= code < 0xE000:
                return ""
            char = chr(code)
        self.at = found.end()
        return char

    def _tag(self) -> None:
        begin = self.at
        self.at += 1
        if self._peek() == "/":
            self._end_tag(begin)
        else:
            self._start_tag(begin)

    def _start_tag(self, begin: int) -> None:
        tag = self._skip(SPACE + ">").lower()
        if not self._peek():
            raise self._error("Unclosed start tag", begin)
        if tag not in KINDS:
            raise self._error(f'Unsupported start tag "{tag}"', begin)
        argument = ""
        while self._peek() != ">":
            self._spaces()
            if self._peek() == ">":
                break
            argument = self._attribute(tag, begin) or argument
        self.at += 1
        if tag == "span" and argument != "spoiler":
            raise self._error('Tag "span" must have class "tg-spoiler"', begin)
        if tag == "tg-emoji" and not argument.isdigit():
            raise self._error("Invalid custom emoji identifier specified", begin)
        self.nested.append(Open(tag, argument, self.length, len(self.out)))

    def _attribute(self, tag: str, begin: int) -> str:
        name = self._skip(SPACE + "=>/\"'").lower()
        if not name:
            raise self._error(f'Empty attribute name in the tag "{tag}"', begin)
        self._spaces()
        if self._peek() != "=":
            if not self._peek():
                raise self._error(f'Unclosed start tag "{tag}"', begin)
            return "expandable" if (tag, name) == ("blockquote", "expandable") else ""
        self.at += 1
        self._spaces()
        if not self._peek():
            raise self._error(f'Unclosed start tag "{tag}"', begin)
        value = self._value()
        if not self._peek():
            raise self._error("Unclosed start tag", begin)
        match tag, name:
            case ("a", "href") | ("tg-emoji", "emoji-id"):
                return value
            case ("code", "class") if value.startswith("language-"):
                return value.removeprefix("language-")
            case ("span", "class") if value.startswith("tg-"):
                return value.removeprefix("tg-")
            case ("blockquote", "expandable"):
                return "expandable"
        return ""

    def _value(self) -> str:
        begin = self.at
        if self._peek() not in "'\"":
            while self._peek() and (self._peek().isalnum() or self._peek() in ".-"):
                self.at += 1
            if self._peek() not in SPACE + ">":
                raise self._error("Unexpected end of name token", begin)
            return self.source[begin : self.at].lower()
        quote = self._peek()
        self.at += 1
        value = []
        while self._peek() not in ("", quote):
            decoded = self._character() if self._peek() == "&" else ""
            if not decoded:
                decoded = self._peek()
                self.at += 1
            value.append(decoded)
        self.at += 1
        return "".join(value)

    def _end_tag(self, begin: int) -> None:
        if not self.nested:
            raise self._error("Unexpected end tag", begin)
        self.at += 1
        name = self._skip(SPACE + ">").lower()
        self._spaces()
        if self._peek() != ">":
            raise self._error("Unclosed end tag", begin)
        self.at += 1
        opened = self.nested.pop()
        if name and name != opened.tag:
            raise self._error(
                f"Unmatched end tag at byte offset {len(self.source[:begin].encode())},"
                f' expected "</{opened.tag}>", found "</{name}>"'
            )
        if self.length > opened.start:
            self._close(opened)

    def _close(self, opened: Open) -> None:
        entity: dict[str, Any] = {
            "type": KINDS[opened.tag],
            "offset": opened.start,
            "length": self.length - opened.start,
        }
        match opened.tag:
            case "a":
                link = link_entity(opened.argument or "".join(self.out[opened.at :]))
                if link is None:
                    return
                entity |= link
            case "code" if opened.argument and self._inside_pre(opened):
                entity |= {"type": "pre", "language": opened.argument}
            case "pre" if self._swallowed_by_language(entity):
                return
            case "blockquote" if opened.argument:
                entity["type"] = "expandable_blockquote"
            case "tg-emoji":
                entity["custom_emoji_id"] = opened.argument
        self.entities.append(entity)

    def _inside_pre(self, opened: Open) -> bool:
        return bool(
            self.nested and self.nested[-1].tag == "pre" and self.nested[-1].start == opened.start
        )

    def _swallowed_by_language(self, pre: dict[str, Any]) -> bool:
        last = self.entities[-1] if self.entities else {}
        return bool(last.get("language")) and all(
            last[key] == pre[key] for key in ("type", "offset", "length")
        )


def link_entity(url: str) -> dict[str, Any] | None:
    """What a link becomes: a mention of a user id, a web link, or nothing when it is no link."""
    user = re.fullmatch(r"tg://user\?id=(\d+)", url)
    if user:
        return {"type": "text_mention", "user_id": int(user[1])}
    if re.match(r"(?i)tg:(//)?\w", url):
        return {"type": "text_link", "url": url}
    if re.fullmatch(r"(?i)(https?://)?[^\s/?#:@]+\.[^\s/?#:@]{2,}([:/?#]\S*)?", url):
        full = url if re.match(r"(?i)https?://", url) else f"http://{url}"
        rest = re.sub(r"(?i)^https?://", "", full)
        return {"type": "text_link", "url": full if re.search(r"[/?#]", rest) else full + "/"}
    return None
