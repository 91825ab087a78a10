"""The parameters of one request: form, JSON and multipart brought to one shape, read by type."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from .errors import bad_request

JSON_FIELDS = frozenset(
    {
        "reply_markup", "entities", "caption_entities", "reply_parameters",
        "link_preview_options", "media", "commands", "scope", "allowed_updates", "message_ids",
        "reaction", "permissions", "ignored_user_ids",
    }
)  # fmt: skip
INTEGER_FIELDS = frozenset(
    {
        "message_id", "message_thread_id", "reply_to_message_id", "user_id", "offset", "limit",
        "timeout", "cache_time", "max_connections", "from_chat_id", "until_date",
        "direct_messages_topic_id",
    }
)  # fmt: skip
FLAG_FIELDS = frozenset(
    {
        "disable_notification", "protect_content", "allow_sending_without_reply", "show_alert",
        "is_big", "drop_pending_updates", "has_spoiler", "show_caption_above_media",
        "disable_web_page_preview", "disable_content_type_detection", "allow_paid_broadcast",
        "revoke_messages", "supports_streaming",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that came with a request."""

    name: str
    content: bytes
    mime: str


@dataclass(frozen=True, slots=True)
class Params:
    """What came with a request, every value as text, plus the files."""

    values: Mapping[str, str] = field(default_factory=dict)
    uploads: Mapping[str, Upload] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """The value, or nothing when it didn't come."""
        return self.values.get(name, "")

    def integer(self, name: str, default: int = 0, low: int = 0, high: int = 2**53) -> int:
        """The whole number, held within its bounds as the server does; `default` if unreadable."""
        try:
            number = int(self.values.get(name, ""))
        except ValueError:
            return default
        return max(low, min(high, number))

    def flag(self, name: str) -> bool:
        """True for "true", "yes" and "1", in any case."""
        return self.values.get(name, "").strip().lower() in ("true", "yes", "1")

    def json(self, name: str, what: str) -> Any:
        """The parsed value, or None when it didn't come; `what` names it in the refusal."""
        raw = self.values.get(name, "")
        if not raw:
            return None
        try:
            return json.loads(raw)
        except ValueError as error:
            raise bad_request(f"can't parse {what} JSON object") from error

    def decoded(self) -> dict[str, Any]:
        """All values in their own types, for people to read and for the schemas to check."""
        return {name: _decode(name, raw) for name, raw in self.values.items()}


def _decode(name: str, raw: str) -> Any:
    try:
        if name in JSON_FIELDS:
            return json.loads(raw)
        if name in INTEGER_FIELDS or (name == "chat_id" and not raw.startswith("@")):
            return int(raw)
    except ValueError:
        return raw
    if name in FLAG_FIELDS and raw.lower() in ("true", "false"):
        return raw.lower() == "true"
    return raw


def as_text(value: Any) -> str:
    """A JSON body's value as the text that a form would have carried."""
    return value if isinstance(value, str) else json.dumps(value)


def check_encoding(values: Mapping[str, str]) -> None:
    """Refuses half characters, which JSON can smuggle in and UTF-8 can't carry."""
    for value in values.values():
        if any("\ud800" <= char <= "\udfff" for char in value):
            raise bad_request("strings must be encoded in UTF-8")
