"""The state of the stand-in and the few steps that every part of it shares."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Protocol

from . import render
from .faults import Faults
from .files import Files
from .journal import Journal
from .updates import UpdateQueue
from .webhook import Webhook
from .world import Chat, ChatKind, Message, Person, Standing, World


class Validator(Protocol):
    """Checks what goes in and out against an outside description; keeps what it objects to."""

    def request(self, method: str, params: dict[str, Any], files: list[str]) -> None:
        """Looks at a request's decoded parameters and the names of its files."""

    def update(self, body: dict[str, Any]) -> None:
        """Looks at an update that is about to be served."""

    def answer(self, method: str, result: Any) -> None:
        """Looks at the result of a request."""


@dataclass(slots=True)
class Bot:
    """The bot's own account."""

    id: int
    first_name: str
    username: str
    privacy: bool = True


@dataclass(slots=True, eq=False)
class Tap:
    """A person's tap on a button, and what the bot answered to it."""

    id: str
    person: Person
    message: Message
    data: str
    at: datetime
    answered: bool = False
    text: str = ""
    alert: bool = False


def real_time() -> datetime:
    """The moment, by this machine's clock."""
    return datetime.now(UTC)


@dataclass(slots=True)
class Platform:
    """Everything that the platform knows."""

    token: str
    bot: Bot
    now: Callable[[], datetime]
    world: World
    updates: UpdateQueue
    faults: Faults
    journal: Journal
    files: Files
    taps: dict[str, Tap] = field(default_factory=dict)
    commands: dict[tuple[str, str], list[dict[str, str]]] = field(default_factory=dict)
    """By scope (canonical JSON) and language."""
    actions: list[tuple[int, str]] = field(default_factory=list)
    """Chat actions ("typing") that were shown: chat id, action."""
    validator: Validator | None = None
    webhook: Webhook = field(init=False)
    base_url: str = ""
    albums: int = 0

    def post(
        self,
        chat: Chat,
        sender: Person | None,
        content: dict[str, Any],
        *,
        reply_to: Message | None = None,
        thread: int | None = None,
        markup: dict[str, Any] | None = None,
        album: str | None = None,
    ) -> Message:
        """Puts a message into a chat, where people see it; the bot isn't told here."""
        if thread is None and reply_to is not None and reply_to.in_topic:
            thread = reply_to.thread
        in_topic = thread is not None
        if reply_to is not None and not in_topic and chat.kind is ChatKind.SUPERGROUP:
            thread = reply_to.thread or reply_to.id
        message = Message(
            self.world.next_message_id(chat), chat, self.now(), sender, content, reply_to,
            thread, in_topic, album, markup,
        )  # fmt: skip
        chat.messages[message.id] = message
        self.journal.event("message", chat_id=chat.id, message_id=message.id)
        return message

    def serve(self, kind: str, payload: dict[str, Any], born: datetime | None = None) -> None:
        """Queues an update for the bot, if it is of a kind that the bot listens to."""
        body = self.updates.add(kind, payload, born)
        if body and self.validator:
            self.validator.update(body)

    def tell_bot(self, message: Message, kind: str = "message") -> bool:
        """Serves a person's message, if the bot is in the chat and may read it."""
        if not self.bot_reads(message):
            return False
        if message.sender:
            message.sender.met = True
        self.serve(kind, render.message(self, message), message.edited or message.date)
        return True

    def bot_reads(self, message: Message) -> bool:
        """The privacy rule (core.telegram.org/bots/features#privacy-mode) for one message."""
        chat = message.chat
        if not chat.bot.inside:
            return False
        if chat.private or chat.bot_reads_all or chat.bot.admin or message.service:
            return True
        if message.reply_to is not None and message.reply_to.from_bot:
            return True
        name = f"@{self.bot.username}".lower()
        return any(self._meant_for_bot(message.text, entity, name) for entity in message.entities)

    def _meant_for_bot(self, text: str, entity: dict[str, Any], name: str) -> bool:
        units = text.encode("utf-16-le", "surrogatepass")
        start = entity["offset"] * 2
        part = units[start : start + entity["length"] * 2].decode("utf-16-le").lower()
        match entity["type"]:
            case "mention":
                return part == name
            case "text_mention":
                return bool(entity.get("user_id") == self.bot.id)
            case "bot_command":
                return entity["offset"] == 0 and ("@" not in part or part.endswith(name))
        return False

    def bot_member(self, chat: Chat, standing: Standing) -> dict[str, Any]:
        """How the bot stands in a chat, as one of the ChatMember types."""
        return render.member(render.bot_user(self.bot), standing, chat.kind)


def bot_id(token: str) -> int:
    """The number in front of a token's colon."""
    found = re.fullmatch(r"(\d{1,15}):[A-Za-z0-9_-]{10,}", token)
    if not found:
        raise ValueError("a token looks like 123456789:AAAA..., digits, a colon, 35 characters")
    return int(found[1])
