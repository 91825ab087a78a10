"""Checks a keyboard as the platform would before it accepts a message."""

from __future__ import annotations

from typing import Any

from .errors import bad_request
from .markup_html import link_entity
from .parameters import Params

MAX_CALLBACK_DATA = 64
MAX_BUTTONS = 100
ACTIONS = (
    "callback_data", "url", "web_app", "login_url", "switch_inline_query", "callback_game", "pay",
    "switch_inline_query_current_chat", "switch_inline_query_chosen_chat", "copy_text",
)  # fmt: skip
KINDS = ("inline_keyboard", "keyboard", "remove_keyboard", "force_reply")


def reply_markup(params: Params, *, inline_only: bool = False) -> dict[str, Any] | None:
    """The keyboard of a request, checked; None when there is none."""
    markup = params.json("reply_markup", "reply keyboard markup")
    if not markup:
        return None
    if not isinstance(markup, dict):
        raise bad_request("object expected as reply markup")
    if not any(kind in markup for kind in KINDS):
        return None
    if "inline_keyboard" in markup:
        rows = [[_inline(button) for button in row] for row in _rows(markup["inline_keyboard"])]
        rows = [row for row in rows if row]
        if sum(map(len, rows)) > MAX_BUTTONS:
            raise bad_request("reply markup is too long")
        return {"inline_keyboard": rows} if rows else None
    if inline_only:
        raise bad_request("inline keyboard expected")
    if "keyboard" in markup:
        for row in _rows(markup["keyboard"]):
            for button in row:
                if not (button if isinstance(button, str) else button.get("text")):
                    raise bad_request("can't parse keyboard button: Text must be non-empty")
    return markup


def _rows(value: Any) -> list[list[Any]]:
    if not isinstance(value, list) or not all(isinstance(row, list) for row in value):
        raise bad_request("can't parse keyboard: Array of Array of KeyboardButton expected")
    return value


def _inline(button: Any) -> dict[str, Any]:
    """One inline button; wordings seen in telegram-bot-api, limits in the published docs."""
    what = "can't parse inline keyboard button: "
    if not isinstance(button, dict):
        raise bad_request(f"{what}InlineKeyboardButton must be an Object")
    text = button.get("text")
    if not isinstance(text, str):
        raise bad_request(f'{what}Field "text" must be of type String')
    if not text.strip():
        raise bad_request(f"{what}Text must be non-empty")
    if not any(action in button for action in ACTIONS):
        raise bad_request(f"{what}Text buttons are unallowed in the inline keyboard")
    data = button.get("callback_data")
    if data is not None and not 1 <= len(str(data).encode()) <= MAX_CALLBACK_DATA:
        raise bad_request("BUTTON_DATA_INVALID")
    url = button.get("url")
    if url is not None and link_entity(str(url)) is None:
        raise bad_request("BUTTON_URL_INVALID")
    return button
