"""Finds the chat, topic and message that a request is about, or refuses as the platform does."""

from __future__ import annotations

from dataclasses import dataclass

from .engine import Platform
from .errors import ApiError, bad_request, forbidden, upgraded
from .parameters import Params
from .world import Chat, Message, Person, Standing


def find_chat(platform: Platform, params: Params, name: str = "chat_id") -> Chat:
    """The chat that a request names, if the bot knows it."""
    raw = params.text(name)
    if not raw:
        raise bad_request(f"{name} is empty")
    try:
        chat = platform.world.chats.get(int(raw))
    except ValueError:
        chat = None
    if chat is None or (chat.person and not _knows(platform, chat.person)):
        raise bad_request("chat not found")
    if not chat.private and chat.bot is Standing.LEFT and not chat.messages:
        raise bad_request("chat not found")
    return chat


def _knows(platform: Platform, person: Person) -> bool:
    met = person.started or person.met
    return met or any(platform.world.shared_groups(person))


def writable_chat(platform: Platform, params: Params) -> Chat:
    """The chat that a request names, if the bot may write there now."""
    chat = find_chat(platform, params)
    if reason := refusal(chat):
        raise reason
    return chat


def refusal(chat: Chat) -> ApiError | None:
    """Why the bot may not write to a chat; None when it may."""
    if person := chat.person:
        if person.deactivated:
            return forbidden("user is deactivated")
        if person.blocked:
            return forbidden("bot was blocked by the user")
        if not person.started:
            return forbidden("bot can't initiate conversation with a user")
        return None
    if chat.migrated_to is not None:
        return upgraded(chat.migrated_to)
    if chat.bot is Standing.KICKED:
        return forbidden(f"bot was kicked from the {chat.kind} chat")
    if chat.bot is Standing.LEFT:
        return forbidden(f"bot is not a member of the {chat.kind} chat")
    return None


def find_message(chat: Chat, params: Params, purpose: str, name: str = "message_id") -> Message:
    """The message that a request names; `purpose` ("edit", "delete") goes into the refusal."""
    number = params.integer(name)
    if not number:
        raise bad_request("message identifier is not specified")
    message = chat.messages.get(number)
    if message is None or message.deleted:
        raise bad_request(f"message to {purpose} not found")
    return message


@dataclass(frozen=True, slots=True)
class Place:
    """Where a new message goes."""

    chat: Chat
    thread: int | None
    reply_to: Message | None


def find_place(platform: Platform, params: Params) -> Place:
    """The chat, topic and message replied to of a request that sends something."""
    chat = writable_chat(platform, params)
    reply_to = _replied(chat, params)
    thread = params.integer("message_thread_id")
    if not thread:
        return Place(chat, None, reply_to)
    topic = chat.topics.get(thread)
    if topic is None:
        raise bad_request("message thread not found")
    if topic.closed and not chat.bot.admin:
        raise bad_request("TOPIC_CLOSED")
    return Place(chat, thread, reply_to)


def _replied(chat: Chat, params: Params) -> Message | None:
    reply = params.json("reply_parameters", "reply parameters") or {}
    number = reply.get("message_id") or params.integer("reply_to_message_id")
    if not number:
        return None
    message = chat.messages.get(int(number))
    if message is not None and not message.deleted:
        return message
    if reply.get("allow_sending_without_reply") or params.flag("allow_sending_without_reply"):
        return None
    raise bad_request("message to be replied not found")
