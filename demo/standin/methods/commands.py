"""The command lists that people see, by scope and language."""

from __future__ import annotations

import json
import re
from typing import Any

from ..engine import Platform
from ..errors import bad_request
from ..parameters import Params
from .registry import method

MAX_COMMANDS = 100
COMMAND = re.compile(r"[a-z0-9_]{1,32}")
MAX_DESCRIPTION = 256
SCOPES = {
    "default": (),
    "all_private_chats": (),
    "all_group_chats": (),
    "all_chat_administrators": (),
    "chat": ("chat_id",),
    "chat_administrators": ("chat_id",),
    "chat_member": ("chat_id", "user_id"),
}


def _key(platform: Platform, params: Params) -> tuple[str, str]:
    scope = params.json("scope", "bot command scope") or {"type": "default"}
    kind = scope.get("type") if isinstance(scope, dict) else None
    if kind not in SCOPES:
        raise bad_request("can't parse BotCommandScope: unsupported type specified")
    for name in SCOPES[kind]:
        if name not in scope:
            raise bad_request(f"can't parse BotCommandScope: {name} is empty")
    if "chat_id" in scope and int(scope["chat_id"]) not in platform.world.chats:
        raise bad_request("chat not found")
    language = params.text("language_code")
    if language and not re.fullmatch("[a-z]{2}", language):
        raise bad_request("invalid language code specified")
    return json.dumps(scope, sort_keys=True), language


@method("setMyCommands")
def set_my_commands(platform: Platform, params: Params) -> bool:
    """Replaces the list of a scope and language."""
    key = _key(platform, params)
    commands = params.json("commands", "list of bot commands")
    if not isinstance(commands, list):
        raise bad_request("expected an Array of BotCommand")
    if len(commands) > MAX_COMMANDS:
        raise bad_request("BOT_COMMANDS_TOO_MUCH")
    platform.commands[key] = [_checked(command) for command in commands]
    platform.journal.touch()
    return True


def _checked(command: Any) -> dict[str, str]:
    if not isinstance(command, dict):
        raise bad_request("expected an Array of BotCommand")
    name = str(command.get("command", "")).removeprefix("/")
    description = str(command.get("description", "")).strip()
    if not name:
        raise bad_request("command must be non-empty")
    if not COMMAND.fullmatch(name):
        raise bad_request("BOT_COMMAND_INVALID")
    if not 1 <= len(description) <= MAX_DESCRIPTION:
        raise bad_request("BOT_COMMAND_DESCRIPTION_INVALID")
    return {"command": name, "description": description}


@method("getMyCommands")
def get_my_commands(platform: Platform, params: Params) -> list[dict[str, str]]:
    """The list of exactly this scope and language."""
    return platform.commands.get(_key(platform, params), [])


@method("deleteMyCommands")
def delete_my_commands(platform: Platform, params: Params) -> bool:
    """Forgets the list of a scope and language."""
    platform.commands.pop(_key(platform, params), None)
    return True


def shown_commands(
    platform: Platform, chat_id: int, person_id: int, *, private: bool, admin: bool, language: str
) -> list[dict[str, str]]:
    """The list that a person sees in a chat: the narrowest scope that has one.

    Order: core.telegram.org/bots/api#determining-list-of-commands.
    """
    scopes: list[dict[str, Any]] = [
        {"type": "chat_member", "chat_id": chat_id, "user_id": person_id},
        *([{"type": "chat_administrators", "chat_id": chat_id}] if admin else []),
        {"type": "chat", "chat_id": chat_id},
        *([{"type": "all_chat_administrators"}] if admin else []),
        {"type": "all_private_chats" if private else "all_group_chats"},
        {"type": "default"},
    ]
    if private:
        scopes = [s for s in scopes if s["type"] in ("chat", "all_private_chats", "default")]
    for scope in scopes:
        for code in (language, ""):
            listed = platform.commands.get((json.dumps(scope, sort_keys=True), code))
            if listed:
                return listed
    return []
