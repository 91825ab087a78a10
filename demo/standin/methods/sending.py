"""sendMessage, sendChatAction, forwardMessage."""

from __future__ import annotations

from typing import Any

from .. import render
from ..access import find_chat, find_message, find_place, writable_chat
from ..engine import Platform
from ..entities import message_text
from ..errors import bad_request
from ..keyboards import reply_markup
from ..parameters import Params
from ..world import Message
from .registry import method

ACTIONS = frozenset(
    {
        "typing", "upload_photo", "record_video", "upload_video", "record_voice", "upload_voice",
        "upload_document", "choose_sticker", "find_location", "record_video_note",
        "upload_video_note",
    }
)  # fmt: skip


def send(platform: Platform, params: Params, content: dict[str, Any]) -> Message:
    """Puts the bot's message where the request says, with its keyboard."""
    markup = reply_markup(params)
    place = find_place(platform, params)
    return platform.post(
        place.chat, None, content, reply_to=place.reply_to, thread=place.thread, markup=markup
    )


@method("sendMessage")
def send_message(platform: Platform, params: Params) -> dict[str, Any]:
    """A text message."""
    return render.message(platform, send(platform, params, message_text(params)))


@method("sendChatAction")
def send_chat_action(platform: Platform, params: Params) -> bool:
    """Shows "typing" and the like."""
    chat = writable_chat(platform, params)
    action = params.text("action")
    if action not in ACTIONS:
        raise bad_request("wrong parameter action in request")
    platform.actions.append((chat.id, action))
    platform.journal.event("action", chat_id=chat.id, action=action)
    return True


@method("forwardMessage")
def forward_message(platform: Platform, params: Params) -> dict[str, Any]:
    """Copies a message into another chat, with its origin named."""
    source = find_chat(platform, params, "from_chat_id")
    message = find_message(source, params, "forward")
    if message.service:
        raise bad_request("the message can't be forwarded")
    sender = render.user(message.sender) if message.sender else render.bot_user(platform.bot)
    origin = {"type": "user", "date": render.stamp(message.date), "sender_user": sender}
    place = find_place(platform, params)
    content = {"forward_origin": origin, **message.content}
    copied = platform.post(place.chat, None, content, thread=place.thread)
    return render.message(platform, copied)
