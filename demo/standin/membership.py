"""Who comes, goes, blocks: changes of standing, with the updates that the bot gets of them."""

from __future__ import annotations

from typing import Any

from . import render
from .engine import Platform
from .errors import MisuseError
from .world import Chat, ChatKind, Person, Standing, Topic, Where, Who


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
    note = {"new_chat_members": [bot]} if standing.inside else {"left_chat_member": bot}
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


def find_topic(chat: Chat, topic: Topic | str | int) -> Topic:
    """The topic meant by an object, an id or a name."""
    for known in chat.topics.values():
        if topic in (known, known.id, known.name):
            return known
    raise MisuseError(f"there is no topic {topic!r} in {chat.title}")


def become_supergroup(platform: Platform, chat: Chat, by: Person | None = None) -> Chat:
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


def add_group(
    platform: Platform, title: str, members: list[Person], admins: list[Person],
    topics: list[str], *, supergroup: bool,
) -> Chat:  # fmt: skip
    """A new group of these people, without the bot; the first member made it."""
    kind = ChatKind.SUPERGROUP if supergroup or topics else ChatKind.GROUP
    chat = platform.world.add_chat(kind, title, forum=bool(topics))
    for person in [*members, *admins]:
        chat.members[person.id] = Standing.ADMINISTRATOR if person in admins else Standing.MEMBER
    if chat.members:
        chat.members[next(iter(chat.members))] = Standing.CREATOR
    maker = platform.world.people[next(iter(chat.members))] if chat.members else None
    for name in topics:
        open_topic(platform, chat, maker, name)
    return chat


class MembershipActions:
    """The part of StandIn with which people come, go, block, promote."""

    platform: Platform

    def block(self, person: Who) -> None:
        """The person blocks the bot: it gets my_chat_member, and 403 from then on."""
        who = self.platform.world.person(person)
        who.blocked = True
        chat = self.platform.world.chat(who)
        set_bot_standing(self.platform, chat, who, Standing.KICKED)

    def unblock(self, person: Who) -> None:
        """The person lets the bot write again."""
        who = self.platform.world.person(person)
        who.blocked = False
        chat = self.platform.world.chat(who)
        set_bot_standing(self.platform, chat, who, Standing.MEMBER)

    def deactivate(self, person: Who) -> None:
        """The person's account is gone: 403 from then on, and no update about it."""
        self.platform.world.person(person).deactivated = True

    def add_bot(self, group: Where, by: Who | None = None, *, admin: bool = False) -> None:
        """The bot joins a group, or becomes an administrator or a plain member there."""
        chat = self.platform.world.chat(group)
        who = self._member(chat, by)
        standing = Standing.ADMINISTRATOR if admin else Standing.MEMBER
        set_bot_standing(self.platform, chat, who, standing)

    def remove_bot(self, group: Where, by: Who | None = None) -> None:
        """The bot is put out of a group."""
        chat = self.platform.world.chat(group)
        set_bot_standing(self.platform, chat, self._member(chat, by), Standing.KICKED)

    def join(
        self, person: Who, group: Where, *, by: Who | None = None, admin: bool = False
    ) -> None:
        """The person joins a group, or is added, or changes between member and administrator."""
        standing = Standing.ADMINISTRATOR if admin else Standing.MEMBER
        self._stand(person, group, standing, by)

    def leave(self, person: Who, group: Where, *, by: Who | None = None) -> None:
        """The person leaves a group, or is put out by somebody."""
        self._stand(person, group, Standing.KICKED if by else Standing.LEFT, by)

    def migrate(self, group: Where) -> Chat:
        """The group becomes a supergroup; returns the new chat."""
        return become_supergroup(self.platform, self.platform.world.chat(group))

    def add_topic(self, group: Where, name: str, by: Who | None = None) -> Topic:
        """A new topic in a supergroup."""
        chat = self.platform.world.chat(group)
        return open_topic(self.platform, chat, self._member(chat, by), name)

    def close_topic(self, group: Where, topic: Topic | str | int) -> None:
        """Only administrators write in that topic any more."""
        self._set_closed(group, topic, closed=True)

    def reopen_topic(self, group: Where, topic: Topic | str | int) -> None:
        """All may write in that topic again."""
        self._set_closed(group, topic, closed=False)

    def _set_closed(self, group: Where, topic: Topic | str | int, *, closed: bool) -> None:
        chat = self.platform.world.chat(group)
        found = find_topic(chat, topic)
        found.closed = closed
        note: dict[str, Any] = {"forum_topic_closed" if closed else "forum_topic_reopened": {}}
        maker = self._member(chat, None)
        self.platform.tell_bot(self.platform.post(chat, maker, note, thread=found.id))

    def _stand(self, person: Who, group: Where, standing: Standing, by: Who | None) -> None:
        world = self.platform.world
        actor = world.person(by) if by is not None else None
        set_standing(self.platform, world.chat(group), world.person(person), standing, actor)

    def _member(self, chat: Chat, by: Who | None) -> Person:
        if by is not None:
            return self.platform.world.person(by)
        inside = [number for number, standing in chat.members.items() if standing.inside]
        if not inside:
            raise MisuseError("nobody is in that group")
        return self.platform.world.people[inside[0]]
