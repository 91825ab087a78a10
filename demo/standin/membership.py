"""Who comes, goes, blocks: changes of standing, with the updates that the bot gets of them."""

from __future__ import annotations

from typing import Any

from . import render
from .engine import Platform
from .errors import MisuseError
from .world import Chat, ChatKind, Person, Standing, Topic


def _changed(
    platform: Platform, chat: Chat, by: dict[str, Any], old: dict[str, Any], new: dict[str, Any]
) -> dict[str, Any]:
    return {
        "chat": render.chat(chat),
        "from": by,
        "date": render.stamp(platform.now()),
        "old_chat_member": old,
        "new_chat_member": new,
    }


def set_bot_standing(platform: Platform, chat: Chat, by: Person | None, standing: Standing) -> None:
    """The bot comes, goes, or is promoted, and is told; in groups people see it too."""
    old, chat.bot = chat.bot, standing
    if old is standing:
        return
    if standing.inside and not old.inside:
        chat.bot_reads_all = not platform.bot.privacy
    who = render.user(by) if by else render.bot_user(platform.bot)
    if by:
        by.met = True
    was, now = platform.bot_member(chat, old), platform.bot_member(chat, standing)
    platform.serve("my_chat_member", _changed(platform, chat, who, was, now))
    platform.journal.event("membership", chat_id=chat.id, bot=str(standing))
    if chat.private or old.inside == standing.inside:
        return
    bot = render.bot_user(platform.bot)
    if standing.inside:
        note = {"new_chat_members": [bot]}
    else:
        note = {"left_chat_member": bot}
    message = platform.post(chat, by, note)
    platform.serve("message", render.message(platform, message))


def set_standing(
    platform: Platform, chat: Chat, person: Person, standing: Standing, by: Person | None = None
) -> None:
    """A person comes, goes, or is promoted; the bot sees the service message if it is inside."""
    if chat.private:
        raise MisuseError("nobody joins a private chat")
    old = chat.members.get(person.id, Standing.LEFT)
    chat.members[person.id] = standing
    if old is standing:
        return
    actor = by or person
    if chat.bot.admin:
        who = render.user(person)
        was, now = (render.member(who, s, chat.kind) for s in (old, standing))
        platform.serve("chat_member", _changed(platform, chat, render.user(actor), was, now))
    if standing.inside and not old.inside:
        platform.tell_bot(platform.post(chat, actor, {"new_chat_members": [render.user(person)]}))
    elif old.inside and not standing.inside:
        platform.tell_bot(platform.post(chat, actor, {"left_chat_member": render.user(person)}))


def open_topic(platform: Platform, chat: Chat, by: Person | None, name: str) -> Topic:
    """A new topic in a forum; its id is the number of the service message that says so."""
    if chat.kind is not ChatKind.SUPERGROUP:
        raise MisuseError("topics exist in supergroups only")
    chat.forum = True
    created = {"forum_topic_created": {"name": name, "icon_color": 7322096}}
    message = platform.post(chat, by, created)
    message.thread, message.in_topic = message.id, True
    topic = Topic(message.id, name)
    chat.topics[topic.id] = topic
    platform.tell_bot(message)
    return topic


def migrate(platform: Platform, chat: Chat, by: Person | None = None) -> Chat:
    """The group becomes a supergroup: a new chat with a new id, both chats say so."""
    if chat.kind is not ChatKind.GROUP or chat.migrated_to is not None:
        raise MisuseError("only a group that still is one becomes a supergroup")
    new = platform.world.add_chat(ChatKind.SUPERGROUP, chat.title or "")
    new.members = dict(chat.members)
    new.bot, new.bot_reads_all = chat.bot, chat.bot_reads_all
    actor = by or platform.world.people[next(iter(chat.members))]
    platform.tell_bot(platform.post(chat, actor, {"migrate_to_chat_id": new.id}))
    chat.migrated_to = new.id
    platform.tell_bot(platform.post(new, actor, {"migrate_from_chat_id": chat.id}))
    return new
