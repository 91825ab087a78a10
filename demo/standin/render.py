"""People, chats, messages and taps as the JSON that the platform serves to a bot."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from .world import Chat, ChatKind, Message, Person, Standing

if TYPE_CHECKING:
    from .engine import Bot, Platform, Tap


def stamp(moment: datetime) -> int:
    """Whole seconds since 1970, the platform's way of writing a moment."""
    return int(moment.timestamp())


def user(person: Person) -> dict[str, Any]:
    """A person as an object of type User."""
    fields = {
        "id": person.id,
        "is_bot": False,
        "first_name": person.first_name,
        "last_name": person.last_name,
        "username": person.username,
        "language_code": person.language_code,
    }
    return {key: value for key, value in fields.items() if value is not None}


def bot_user(bot: Bot) -> dict[str, Any]:
    """The bot as the User that wrote a message."""
    return {"id": bot.id, "is_bot": True, "first_name": bot.first_name, "username": bot.username}


def chat(of: Chat) -> dict[str, Any]:
    """A chat as it stands in a message."""
    if of.person:
        whole = user(of.person)
        names = ("id", "first_name", "last_name", "username")
        return {key: whole[key] for key in names if key in whole} | {"type": "private"}
    fields: dict[str, Any] = {"id": of.id, "title": of.title, "type": str(of.kind)}
    if of.forum:
        fields["is_forum"] = True
    return fields


def entity(platform: Platform, raw: dict[str, Any]) -> dict[str, Any] | None:
    """An entity; a mention by id names the person, or falls away if nobody has that id."""
    if "user_id" not in raw:
        return raw
    person = platform.world.people.get(raw["user_id"])
    kept = {key: value for key, value in raw.items() if key != "user_id"}
    return {**kept, "user": user(person)} if person else None


def message(platform: Platform, of: Message, *, nested: bool = False) -> dict[str, Any]:
    """A message with the one it replies to; `nested` leaves that out."""
    fields: dict[str, Any] = {
        "message_id": of.id,
        "from": user(of.sender) if of.sender else bot_user(platform.bot),
        "chat": chat(of.chat),
        "date": stamp(of.date),
    }
    if of.edited:
        fields["edit_date"] = stamp(of.edited)
    if of.thread is not None:
        fields["message_thread_id"] = of.thread
    if of.in_topic:
        fields["is_topic_message"] = True
    if of.album:
        fields["media_group_id"] = of.album
    answered = _answered(of)
    if answered and not nested:
        fields["reply_to_message"] = message(platform, answered, nested=True)
    for key, value in of.content.items():
        if key in ("entities", "caption_entities"):
            value = [e for raw in value if (e := entity(platform, raw))]
            if not value:
                continue
        fields[key] = value
    if of.markup and "inline_keyboard" in of.markup:
        fields["reply_markup"] = of.markup
    return fields


def _answered(of: Message) -> Message | None:
    """What a message replies to; in a topic that is at least the message that opened it."""
    if of.reply_to or not of.in_topic or of.thread is None or of.thread == of.id:
        return of.reply_to if of.reply_to and not of.reply_to.deleted else None
    return of.chat.messages.get(of.thread)


def tapped_message(platform: Platform, of: Message) -> dict[str, Any]:
    """The message under a tapped button; only its number when it is gone."""
    if of.deleted:
        return {"chat": chat(of.chat), "message_id": of.id, "date": 0}
    return message(platform, of)


def callback_query(platform: Platform, tap: Tap) -> dict[str, Any]:
    """A tap on a button as an object of type CallbackQuery."""
    return {
        "id": tap.id,
        "from": user(tap.person),
        "message": tapped_message(platform, tap.message),
        "chat_instance": str(tap.message.chat.id * 7919 % 2**63),
        "data": tap.data,
    }


ADMIN_RIGHTS = {
    "can_manage_chat": True,
    "can_delete_messages": True,
    "can_manage_video_chats": True,
    "can_restrict_members": True,
    "can_promote_members": False,
    "can_change_info": True,
    "can_invite_users": True,
    "can_post_stories": False,
    "can_edit_stories": False,
    "can_delete_stories": False,
    "can_pin_messages": True,
    "can_send_welcome_messages": True,
}


def member(who: dict[str, Any], standing: Standing, kind: ChatKind) -> dict[str, Any]:
    """How somebody stands in a chat, as one of the ChatMember types."""
    fields: dict[str, Any] = {"user": who, "status": str(standing)}
    match standing:
        case Standing.CREATOR:
            fields["is_anonymous"] = False
        case Standing.ADMINISTRATOR:
            fields |= {"can_be_edited": False, "is_anonymous": False} | ADMIN_RIGHTS
            if kind is ChatKind.SUPERGROUP:
                fields["can_manage_topics"] = True
        case Standing.KICKED:
            fields["until_date"] = 0
    return fields
