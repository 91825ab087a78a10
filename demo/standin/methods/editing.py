"""Editing and deleting messages, reactions, pins."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from .. import render
from ..access import find_chat, find_message, writable_chat
from ..engine import Platform
from ..entities import caption, message_text
from ..errors import bad_request
from ..keyboards import reply_markup
from ..parameters import Params
from ..world import Message
from .media import input_media
from .registry import method

DELETABLE = timedelta(hours=48)
NOT_MODIFIED = (
    "message is not modified: specified new message content and reply markup"
    " are exactly the same as a current content and reply markup of the message"
)
CAPTION_FIELDS = frozenset({"caption", "caption_entities"})


def _own_message(platform: Platform, params: Params) -> Message:
    if not params.text("chat_id") and not params.text("message_id"):
        raise bad_request("message identifier is not specified")
    message = find_message(writable_chat(platform, params), params, "edit")
    if not message.from_bot or message.service:
        raise bad_request("message can't be edited")
    return message


def _change(
    platform: Platform, params: Params, message: Message, content: dict[str, Any]
) -> dict[str, Any]:
    """Puts new content in place; a request without a keyboard takes the keyboard away."""
    markup = reply_markup(params, inline_only=True)
    before = message.markup if message.markup and "inline_keyboard" in message.markup else None
    if content == message.content and markup == before:
        raise bad_request(NOT_MODIFIED)
    message.content, message.markup, message.edited = content, markup, platform.now()
    platform.journal.event("edited", chat_id=message.chat.id, message_id=message.id)
    return render.message(platform, message)


@method("editMessageText")
def edit_message_text(platform: Platform, params: Params) -> dict[str, Any]:
    """New text and keyboard for a text message of the bot."""
    content = message_text(params)
    message = _own_message(platform, params)
    if "text" not in message.content:
        raise bad_request("there is no text in the message to edit")
    return _change(platform, params, message, content)


@method("editMessageCaption")
def edit_message_caption(platform: Platform, params: Params) -> dict[str, Any]:
    """New caption and keyboard for a picture or document of the bot."""
    message = _own_message(platform, params)
    if "text" in message.content:
        raise bad_request("there is no caption in the message to edit")
    kept = {key: value for key, value in message.content.items() if key not in CAPTION_FIELDS}
    return _change(platform, params, message, kept | caption(params))


@method("editMessageMedia")
def edit_message_media(platform: Platform, params: Params) -> dict[str, Any]:
    """Another picture or document, caption and keyboard for a message of the bot."""
    message = _own_message(platform, params)
    content = input_media(platform, params, params.json("media", "input media"))
    return _change(platform, params, message, content)


@method("editMessageReplyMarkup")
def edit_message_reply_markup(platform: Platform, params: Params) -> dict[str, Any]:
    """Another keyboard, or none."""
    message = _own_message(platform, params)
    return _change(platform, params, message, message.content)


@method("deleteMessage")
def delete_message(platform: Platform, params: Params) -> bool:
    """Takes a message away, for everybody, within 48 hours."""
    _delete(platform, find_message(writable_chat(platform, params), params, "delete"))
    return True


@method("deleteMessages")
def delete_messages(platform: Platform, params: Params) -> bool:
    """Takes several messages away; those that aren't there are skipped."""
    chat = writable_chat(platform, params)
    for number in params.json("message_ids", "message identifiers") or []:
        message = chat.messages.get(number)
        if message and not message.deleted:
            _delete(platform, message)
    return True


def _delete(platform: Platform, message: Message) -> None:
    chat = message.chat
    if not chat.bot.admin or chat.private:
        if not message.from_bot and not chat.private:
            raise bad_request("message can't be deleted")
        if platform.now() - message.date > DELETABLE:
            raise bad_request("message can't be deleted for everyone")
    message.deleted = True
    platform.journal.event("deleted", chat_id=chat.id, message_id=message.id)


@method("setMessageReaction")
def set_message_reaction(platform: Platform, params: Params) -> bool:
    """The bot's one reaction to a message, or none."""
    chat = writable_chat(platform, params)
    message = find_message(chat, params, "react")
    reactions = params.json("reaction", "reaction types") or []
    if len(reactions) > 1:
        raise bad_request("REACTIONS_TOO_MANY")
    if any(not isinstance(r, dict) or r.get("type") != "emoji" for r in reactions):
        raise bad_request("REACTION_INVALID")
    message.reactions.pop(platform.bot.id, None)
    for reaction in reactions:
        message.reactions[platform.bot.id] = reaction["emoji"]
    platform.journal.event("edited", chat_id=chat.id, message_id=message.id)
    return True


@method("pinChatMessage")
def pin_chat_message(platform: Platform, params: Params) -> bool:
    """Pins a message; in groups only as an administrator."""
    message = _pinnable(platform, params)
    chat = message.chat
    if message.id not in chat.pinned:
        chat.pinned.append(message.id)
        pinned = render.message(platform, message, nested=True)
        note = platform.post(chat, None, {"pinned_message": pinned})
        platform.tell_bot(note)
    return True


@method("unpinChatMessage")
def unpin_chat_message(platform: Platform, params: Params) -> bool:
    """Takes a pin away: the named message's, or the newest."""
    chat = writable_chat(platform, params)
    number = params.integer("message_id") or (chat.pinned[-1] if chat.pinned else 0)
    if number not in chat.pinned:
        raise bad_request("message to unpin not found")
    chat.pinned.remove(number)
    platform.journal.event("edited", chat_id=chat.id, message_id=number)
    return True


def _pinnable(platform: Platform, params: Params) -> Message:
    chat = find_chat(platform, params)
    message = find_message(writable_chat(platform, params), params, "pin")
    if not chat.private and not chat.bot.admin:
        raise bad_request("not enough rights to manage pinned messages in the chat")
    return message
