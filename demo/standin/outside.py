"""Checks the stand-in and the bot against two outside descriptions of the platform.

One is the JSON schemas made from the published documentation (tests/demo/schema, see NOTICE
there); the other is python-telegram-bot's own classes. A StandIn created with
`validator=OutsideCheck()` has every request, answer and update looked at; what doesn't fit is
kept in `objections`. Tests assert that there are none.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

SCHEMAS = Path(__file__).resolve().parents[2] / "tests" / "demo" / "schema" / "bot_api.json"
COMMAND = re.compile(r"[a-z0-9_]{1,32}")
FIRST_SECOND, LAST_SECOND = 1_300_000_000, 4_102_444_800  # 2011 to 2099, in seconds
# Required by the documentation since 10.3; python-telegram-bot 22.8 is at 10.0.
NEWER = frozenset({"ChatMemberAdministrator.can_send_welcome_messages"})
DATES = frozenset({"date", "edit_date"})


@cache
def _description() -> dict[str, Any]:
    description: dict[str, Any] = json.loads(SCHEMAS.read_text())
    return description


def _length_in_bytes(validator: Any, limit: int, value: Any, schema: Any) -> Iterator[Any]:
    from jsonschema import ValidationError

    if isinstance(value, str) and len(value.encode()) > limit:
        yield ValidationError(f"{value!r} has more than {limit} bytes")


@cache
def _validator(root: str) -> Any:
    """A validator for one schema, written as JSON; made once, as that takes long."""
    from jsonschema import Draft7Validator, validators

    kind: Any = validators.extend(  # type: ignore[no-untyped-call]
        Draft7Validator, {"maxBytes": _length_in_bytes}
    )
    return kind({**json.loads(root), "definitions": _description()["definitions"]})


def schema_errors(root: dict[str, Any], value: Any) -> list[str]:
    """What the schemas object to, each with its path; most specific first."""
    from jsonschema.exceptions import best_match

    errors = list(_validator(json.dumps(root)).iter_errors(value))
    if not errors:
        return []
    best = best_match(errors)
    return [f"{best.json_path}: {best.message[:300]}"]


def _walk(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    yield key, value
    if isinstance(value, dict):
        for name, item in value.items():
            yield from _walk(item, name)
    elif isinstance(value, list):
        for item in value:
            yield from _walk(item, key)


def _served_by_hand(value: Any) -> list[str]:
    return [
        f"{key} {item} isn't in seconds"
        for key, item in _walk(value)
        if key in DATES and isinstance(item, int) and item
        if not FIRST_SECOND < item < LAST_SECOND
    ]


def _asked_by_hand(method: str, params: dict[str, Any]) -> list[str]:
    found = []
    for key, item in _walk(params):
        if key == "callback_data" and not 1 <= len(str(item).encode()) <= 64:
            found.append(f"callback_data {item!r} isn't 1 to 64 bytes")
    for command in params.get("commands", []):
        if not COMMAND.fullmatch(str(command.get("command"))):
            found.append(f"{command.get('command')!r} isn't a command")
    if method == "answerCallbackQuery":
        units = len(str(params.get("text", "")).encode("utf-16-le")) // 2
        if units > 200:
            found.append(f"an answer of {units} UTF-16 units")
    return found


def library_objections(body: dict[str, Any]) -> list[str]:
    """What python-telegram-bot can't read of an update, or doesn't know."""
    from telegram import TelegramObject, Update

    try:
        update = Update.de_json(body, None)
    except Exception as error:  # whatever it raises is the finding
        return [f"python-telegram-bot can't read it: {error!r}"]
    kind = next(key for key in body if key != "update_id")
    if getattr(update, kind) is None:
        return [f"python-telegram-bot sees no {kind}"]
    found = []
    todo: list[Any] = [update]
    while todo:
        item = todo.pop()
        if isinstance(item, TelegramObject):
            names = {f"{type(item).__name__}.{key}" for key in item.api_kwargs}
            found += [f"{name} is unknown" for name in names - NEWER]
            slots = (name for base in type(item).__mro__ for name in getattr(base, "__slots__", ()))
            todo += [getattr(item, name, None) for name in slots if not name.startswith("_")]
        elif isinstance(item, list | tuple):
            todo += item
    return found


class OutsideCheck:
    """Keeps what the outside descriptions object to."""

    def __init__(self, *, library: bool = True) -> None:
        """`library`: also parse every update with python-telegram-bot."""
        self.objections: list[str] = []
        self.looked_at = {"request": 0, "answer": 0, "update": 0}
        self._library = library

    def request(self, method: str, params: dict[str, Any], files: list[str]) -> None:
        """Looks at a request's decoded parameters and the names of its files."""
        self.looked_at["request"] += 1
        name = _description()["methods"].get(method, {}).get("params")
        if name:
            fields = _description()["definitions"][name]["properties"]
            shown = params | {file: "attach://file" for file in files if file in fields}
            self._note(method, schema_errors({"$ref": f"#/definitions/{name}"}, shown))
        self._note(method, _asked_by_hand(method, params))

    def update(self, body: dict[str, Any]) -> None:
        """Looks at an update that is about to be served."""
        self.looked_at["update"] += 1
        self._note("update", schema_errors({"$ref": "#/definitions/Update"}, body))
        self._note("update", _served_by_hand(body))
        if self._library:
            self._note("update", library_objections(body))

    def answer(self, method: str, result: Any) -> None:
        """Looks at the result of a request; updates were looked at before they waited."""
        if method == "getUpdates":
            return
        self.looked_at["answer"] += 1
        entry = _description()["methods"].get(method)
        if entry:
            self._note(f"answer to {method}", schema_errors(entry["result"], result))
        self._note(f"answer to {method}", _served_by_hand(result))

    def _note(self, where: str, found: list[str]) -> None:
        self.objections += [f"{where}: {objection}" for objection in found]
