"""The outside check objects to what is wrong, so that its silence means something."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from demo.standin.methods import METHODS
from demo.standin.outside import OutsideCheck, _description

GOOD: dict[str, Any] = {
    "update_id": 1,
    "message": {
        "message_id": 1,
        "date": 1_790_000_000,
        "chat": {"id": 7, "type": "private", "first_name": "Maya"},
        "from": {"id": 7, "is_bot": False, "first_name": "Maya"},
        "text": "x",
    },
}


def objections(body: dict[str, Any]) -> list[str]:
    check = OutsideCheck()
    check.update(body)
    return check.objections


def test_a_good_update_passes():
    assert objections(GOOD) == []


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("date", "yesterday"), ("date", 1_790_000_000_000), ("chat", None), ("message_id", "one"),
        ("entities", [{"type": "loud", "offset": 0, "length": 1}]), ("photo", {"file_id": "x"}),
        ("smell", "roses"), ("chat", {"id": 7, "type": "room"}),
    ],
)  # fmt: skip
def test_a_bad_update_does_not(field: str, value: Any):
    body = copy.deepcopy(GOOD)
    body["message"][field] = value
    assert objections(body)
    del body["message"][field]
    assert bool(objections(body)) is (field in ("date", "chat", "message_id"))


@pytest.mark.parametrize(
    ("method", "params"),
    [
        ("sendMessage", {"chat_id": 1}),
        ("sendMessage", {"chat_id": 1, "text": "x", "reply_to": 3}),
        ("sendMessage", {"chat_id": 1, "text": "x", "parse_mode": "BBCode"}),
        ("sendMessage", {"chat_id": 1, "text": "x", "reply_markup": {"inline_keyboard": [
            [{"text": "x", "callback_data": "я" * 33}]]}}),
        ("setMyCommands", {"commands": [{"command": "Start", "description": "x"}]}),
        ("setMyCommands", {"commands": [{"command": "a" * 33, "description": "x"}]}),
        ("answerCallbackQuery", {"callback_query_id": "1", "text": "x" * 201}),
        ("editMessageText", {"chat_id": 1, "message_id": "two", "text": "x"}),
        ("getUpdates", {"allowed_updates": "message"}),
    ],
)  # fmt: skip
def test_a_bad_request_is_objected_to(method: str, params: dict[str, Any]):
    check = OutsideCheck()
    check.request(method, params, [])
    assert check.objections


def test_every_method_is_described_outside():
    described = set(_description()["methods"])
    assert {name for name, _ in METHODS.values()} == described
