"""The library's whole application with the bot's own handlers, gate and desk, and no network.

The platform is a few lines that say yes to everything and remember what was sent. Every message
and every tap is handled at once, so that hundreds can be tried in a second.
"""

from __future__ import annotations

import inspect
import itertools
import json
from collections.abc import Callable
from datetime import datetime
from typing import Any, NamedTuple

from telegram import Update
from telegram.ext import Application
from telegram.request import BaseRequest, RequestData

from clubbot.chat import handlers
from clubbot.chat.gate import Gate
from clubbot.chat.post import Post
from clubbot.desk.acting import Answer, Asking
from clubbot.rules.model import Role
from clubbot.rules.permissions import Deed
from clubbot.store.engine import Store
from tests.desk.scene import Club

BOT = {"id": 4242, "is_bot": True, "first_name": "Kits", "username": "club_kit_bot"}
_updates = itertools.count(5_000_000)
_messages = itertools.count(1)


class Sent(NamedTuple):
    """A text that went to a chat, and what its buttons say."""

    chat_id: int
    text: str
    data: list[str]


class Platform(BaseRequest):
    """Takes whatever is sent, remembers it, and says yes."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.sent: list[Sent] = []

    @property
    def read_timeout(self) -> float:
        return 1.0

    async def initialize(self) -> None: ...

    async def shutdown(self) -> None: ...

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *_: Any, **__: Any
    ) -> tuple[int, bytes]:
        name = url.rpartition("/")[2]
        asked = request_data.parameters if request_data else {}
        if name == "getMe":
            return 200, json.dumps({"ok": True, "result": BOT}).encode()
        self.said.append(f"{name} {asked}")
        if words := asked.get("text") or asked.get("caption"):
            laid = asked.get("reply_markup") or {}
            keys = [key for row in laid.get("inline_keyboard", []) for key in row]
            data = [key["callback_data"] for key in keys if "callback_data" in key]
            self.sent.append(Sent(int(asked.get("chat_id", 0)), str(words), data))
        sent = name.startswith("send") or name.startswith("edit")
        chat = {"id": int(asked.get("chat_id", 1)), "type": "private"}
        message = {"message_id": next(_messages), "date": 0, "chat": chat, "text": "x"}
        member = {"status": "member", "user": BOT}
        result = message if sent else member if name == "getChatMember" else True
        return 200, json.dumps({"ok": True, "result": result}).encode()


class Noting(Gate):
    """Notes which use cases are asked and what they answer."""

    def __init__(self, store: Store, clock: Any) -> None:
        super().__init__(store, clock, BOT["id"], str(BOT["username"]))
        self.asked: list[tuple[Deed | None, object]] = []

    async def run(self, function: Callable[..., Answer], asking: Asking, *args: Any) -> Answer:
        answer = await super().run(function, asking, *args)
        closure = inspect.getclosurevars(function).nonlocals
        self.asked.append((closure.get("what"), answer.value))
        return answer


class Chat:
    """A club's people and the whole application; every message and tap is handled at once."""

    def __init__(self, club: Club) -> None:
        self.club = club
        self.platform = Platform()
        self.gate = Noting(club.store, self)
        builder = Application.builder().token("4242:x").updater(None).job_queue(None)
        made = builder.request(self.platform).get_updates_request(Platform())
        self.application = made.build()

    def now(self) -> datetime:
        return self.club.now

    async def open(self) -> None:
        await self.application.initialize()

        async def ignored(*_: object) -> None: ...

        post = Post(self.application.bot, pace=None, on_blocked=ignored, on_migrated=ignored)
        handlers.register(self.application, self.gate, post, lambda chat, text: None)

    async def says(self, role: Role, text: str, *, group: bool = False) -> list[Any]:
        message = self._message(role, text, group=group)
        return await self._handled({"message": message})

    async def presses(
        self, role: Role, data: str, *, group: bool = False, under: Role | None = None
    ) -> list[Any]:
        """Press a button; in the group, under the answer to another's message where `under`."""
        shown = self._message(role, "x", group=group) | {"from": BOT}
        if under is not None:
            shown["reply_to_message"] = self._message(under, "x", group=group)
        query = {"id": "1", "from": self._user(role), "chat_instance": "1", "data": data}
        return await self._handled({"callback_query": query | {"message": shown}})

    async def _handled(self, body: dict[str, Any]) -> list[Any]:
        self.gate.asked.clear()
        update = Update.de_json({"update_id": next(_updates), **body}, self.application.bot)
        await self.application.process_update(update)
        return list(self.gate.asked)

    def _user(self, role: Role) -> dict[str, Any]:
        person = self.club.people[role]
        return {"id": person.telegram_id, "is_bot": False, "first_name": person.name}

    def _message(self, role: Role, text: str, *, group: bool) -> dict[str, Any]:
        user = self._user(role)
        chat: dict[str, Any] = {"id": user["id"], "type": "private", "first_name": "x"}
        if group:
            chat = {"id": self.club.group, "type": "group", "title": "x"}
        stamp = int(self.club.now.timestamp())
        found = {"message_id": next(_messages), "date": stamp, "chat": chat, "from": user}
        if text.startswith("/"):
            length = len(text.split()[0])
            found["entities"] = [{"type": "bot_command", "offset": 0, "length": length}]
        return found | {"text": text}
