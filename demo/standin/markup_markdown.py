"""MarkdownV2 and the older Markdown mode: marks to entities, with the platform's refusals.

Follows core.telegram.org/bots/api#markdownv2-style and the error texts of TDLib
(github.com/tdlib/td, td/telegram/MessageEntity.cpp and test/message_entities.cpp).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from .errors import bad_request
from .markup_html import link_entity, utf16_length

RESERVED = "_*[]()~`>#+-=|{}.!"
NAMES = {
    "bold": "Bold",
    "italic": "Italic",
    "underline": "Underline",
    "strikethrough": "Strikethrough",
    "spoiler": "Spoiler",
    "code": "Code",
    "pre": "Pre",
    "text_link": "TextUrl",
    "custom_emoji": "CustomEmoji",
    "blockquote": "BlockQuote",
}
ENDS = {
    "bold": "*",
    "italic": "_",
    "underline": "__",
    "strikethrough": "~",
    "spoiler": "||",
    "code": "`",
    "pre": "```",
    "text_link": "]",
    "custom_emoji": "]",
}


def read_markdown(source: str, *, modern: bool) -> tuple[str, list[dict[str, Any]]]:
    """The plain text and its entities; `modern` is MarkdownV2."""
    return MarkdownReader(source).read() if modern else LegacyReader(source).read()


@dataclass(slots=True)
class Reader:
    """What both modes share: a position, the text so far, the entities so far."""

    source: str
    at: int = 0
    out: list[str] = field(default_factory=list)
    length: int = 0
    entities: list[dict[str, Any]] = field(default_factory=list)

    def error(self, reason: str, at: int | None = None) -> Exception:
        """The refusal, with the byte offset of `at` if given."""
        where = "" if at is None else f" at byte offset {len(self.source[:at].encode())}"
        return bad_request(f"can't parse entities: {reason}{where}")

    def ahead(self, mark: str) -> bool:
        """True when `mark` is next."""
        return self.source.startswith(mark, self.at)

    def take(self) -> None:
        """Keeps the next character as it is."""
        self.out.append(self.source[self.at])
        self.length += utf16_length(self.source[self.at])
        self.at += 1

    def close(self, kind: str, start: int, extra: dict[str, Any]) -> None:
        """Adds an entity from `start` to here, unless there is nothing in it."""
        if self.length > start:
            entity = {"type": kind, "offset": start, "length": self.length - start}
            self.entities.append(entity | extra)

    def target(self) -> str | None:
        """The (...) after a link's text, backslashes resolved; None when there is none."""
        if not self.ahead("("):
            return None
        self.at += 1
        begin, url = self.at, []
        while not self.ahead(")"):
            if self.ahead("\\") and self.at + 1 < len(self.source):
                self.at += 1
            if self.at >= len(self.source):
                raise self.error("Can't find end of a URL", begin)
            url.append(self.source[self.at])
            self.at += 1
        self.at += 1
        return "".join(url)


@dataclass(slots=True)
class Open:
    """A mark that waits for its end."""

    kind: str
    begin: int
    start: int
    out_at: int
    extra: dict[str, Any]


@dataclass(slots=True)
class MarkdownReader(Reader):
    """MarkdownV2."""

    nested: list[Open] = field(default_factory=list)

    def read(self) -> tuple[str, list[dict[str, Any]]]:
        """The plain text and its entities."""
        while self.at < len(self.source):
            char = self.source[self.at]
            top = self.nested[-1].kind if self.nested else ""
            if char == "\n" and self._quoting() and not self._quote_goes_on():
                self._end(self.nested.pop())
                self.take()
            elif char == "\\" and "\x00" < self.source[self.at + 1 : self.at + 2] <= "~":
                self.at += 1
                self.take()
            elif char not in ("`" if top in ("code", "pre") else RESERVED):
                self.take()
            elif char == ">" and self._line_start() and (not self.nested or self._quoting()):
                self._quote()
            elif top and self._ends(top):
                self._end(self.nested.pop())
            else:
                self._begin(char)
        if self._quoting():
            self._end(self.nested.pop())
        if self.nested:
            raise self._unclosed(self.nested[-1])
        return "".join(self.out), self.entities

    def _unclosed(self, opened: Open) -> Exception:
        name = "PreCode" if opened.extra.get("language") else NAMES[opened.kind]
        return self.error(f"Can't find end of {name} entity", opened.begin)

    def _line_start(self) -> bool:
        return self.at == 0 or self.source[self.at - 1] == "\n"

    def _quoting(self) -> bool:
        return bool(self.nested) and self.nested[-1].kind == "blockquote"

    def _quote_goes_on(self) -> bool:
        return self.source.startswith(">", self.at + 1)

    def _quote(self) -> None:
        if not self._quoting():
            self._open("blockquote", self.at)
        self.at += 1

    def _ends(self, kind: str) -> bool:
        if kind == "italic" and self.ahead("__"):
            return False
        return kind != "blockquote" and self.ahead(ENDS[kind])

    def _open(self, kind: str, begin: int, **extra: Any) -> None:
        self.nested.append(Open(kind, begin, self.length, len(self.out), extra))

    def _begin(self, char: str) -> None:
        begin = self.at
        if self.ahead("```"):
            self._begin_pre(begin)
            return
        for mark, kind in (
            ("__", "underline"), ("_", "italic"), ("*", "bold"), ("~", "strikethrough"),
            ("||", "spoiler"), ("`", "code"), ("![", "custom_emoji"), ("[", "text_link"),
        ):  # fmt: skip
            if self.ahead(mark):
                self.at += len(mark)
                self._open(kind, begin)
                return
        raise self.error(
            f"Character '{char}' is reserved and must be escaped with the preceding '\\'"
        )

    def _begin_pre(self, begin: int) -> None:
        self.at += 3
        end = self.at
        while end < len(self.source) and self.source[end] != "`" and not self.source[end].isspace():
            end += 1
        language = self.source[self.at : end]
        if language and end < len(self.source) and self.source[end] != "`":
            self.at = end
            self._open("pre", begin, language=language)
        else:
            self._open("pre", begin)
        if self.ahead("\n"):
            self.at += 1

    def _end(self, opened: Open) -> None:
        self.at += len(ENDS.get(opened.kind, ""))
        if opened.kind not in ("text_link", "custom_emoji"):
            self.close(opened.kind, opened.start, opened.extra)
            return
        target = self.target()
        if opened.kind == "custom_emoji":
            number = (target or "").removeprefix("tg://emoji?id=")
            if not number.isdigit():
                raise self.error("Custom emoji URL must have an emoji identifier")
            self.close("custom_emoji", opened.start, {"custom_emoji_id": number})
            return
        link = link_entity("".join(self.out[opened.out_at :]) if target is None else target)
        if link:
            self.close(str(link["type"]), opened.start, link)


@dataclass(slots=True)
class LegacyReader(Reader):
    """The older Markdown mode: no nesting, few marks."""

    def read(self) -> tuple[str, list[dict[str, Any]]]:
        """The plain text and its entities."""
        while self.at < len(self.source):
            char = self.source[self.at]
            if char == "\\" and self.source[self.at + 1 : self.at + 2] in ("_", "*", "`", "["):
                self.at += 1
                self.take()
            elif char in "_*`[":
                self._entity(char)
            else:
                self.take()
        return "".join(self.out), self.entities

    def _entity(self, char: str) -> None:
        begin, start, out_at = self.at, self.length, len(self.out)
        mark = "```" if self.ahead("```") else char
        self.at += len(mark)
        if mark == "```" and self.ahead("\n"):
            self.at += 1
        end = "]" if char == "[" else mark
        while not self.ahead(end):
            if self.at >= len(self.source):
                raise self.error("Can't find end of the entity starting", begin)
            self.take()
        self.at += len(end)
        kinds = {"_": "italic", "*": "bold", "`": "code", "```": "pre"}
        if char != "[":
            self.close(kinds[mark], start, {})
            return
        target = self.target()
        link = link_entity("".join(self.out[out_at:]) if target is None else target)
        if link:
            self.close(str(link["type"]), start, link)
