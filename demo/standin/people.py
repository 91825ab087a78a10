"""What people do: write, tap, send pictures, edit, block, join, leave.

Everything here takes effect at once and returns what came of it; the bot hears of it by update.
What no client would let a person do raises MisuseError.
"""

from __future__ import annotations

import mimetypes
import re
import secrets
from typing import Any
from urllib.parse import parse_qs, urlsplit

from . import membership, render
from .engine import Platform, Tap
from .entities import MAX_CAPTION, person_text
from .errors import ApiError, MisuseError
from .files import plain_picture
from .methods.media import next_album
from .parameters import Upload
from .world import Button, Chat, ChatKind, Message, Person, Standing, Topic

Who = Person | str | int
Where = Chat | Person | str | int
Thread = Topic | str | int | None


class PeopleActions:
    """The part of StandIn with which people are played."""

    platform: Platform

    # -- writing -------------------------------------------------------------------------------

    def say(
        self,
        person: Who,
        text: str,
        chat: Where | None = None,
        *,
        reply_to: Message | int | None = None,
        thread: Thread = None,
    ) -> Message:
        """The person writes `text` (1 to 4096 UTF-16 units); without `chat`, to the bot alone."""
        try:
            plain, entities = person_text(text)
        except ApiError as error:
            raise MisuseError("a person can't send an empty or over-long message") from error
        content: dict[str, Any] = {"text": plain}
        if entities:
            content["entities"] = entities
        return self._post(person, content, chat, reply_to, thread)

    def send_photo(
        self,
        person: Who,
        content: bytes | None = None,
        chat: Where | None = None,
        *,
        caption: str = "",
        reply_to: Message | int | None = None,
        thread: Thread = None,
        album: str | None = None,
    ) -> Message:
        """The person sends a picture (PNG, GIF or JPEG); without `content`, a plain grey one."""
        sizes = self.platform.files.photo(content or plain_picture())
        fields = {"photo": sizes, **_caption(caption)}
        return self._post(person, fields, chat, reply_to, thread, album)

    def send_document(
        self,
        person: Who,
        name: str,
        content: bytes,
        chat: Where | None = None,
        *,
        caption: str = "",
        reply_to: Message | int | None = None,
        thread: Thread = None,
        album: str | None = None,
    ) -> Message:
        """The person sends a file called `name`."""
        mime = mimetypes.guess_type(name)[0] or "application/octet-stream"
        document = self.platform.files.document(Upload(name, content, mime))
        fields = {"document": document, **_caption(caption)}
        return self._post(person, fields, chat, reply_to, thread, album)

    def send_album(
        self,
        person: Who,
        photos: list[bytes] | int,
        chat: Where | None = None,
        *,
        caption: str = "",
        reply_to: Message | int | None = None,
        thread: Thread = None,
    ) -> list[Message]:
        """The person sends 2 to 10 pictures as one album; the caption is on the first."""
        pictures = (
            [plain_picture(grey=20 * n + 20) for n in range(photos)]
            if isinstance(photos, int)
            else photos
        )
        if not 2 <= len(pictures) <= 10:
            raise MisuseError("an album has 2 to 10 pictures")
        album = next_album(self.platform)
        return [
            self.send_photo(
                person, picture, chat, caption=caption if at == 0 else "", reply_to=reply_to,
                thread=thread, album=album,
            )
            for at, picture in enumerate(pictures)
        ]  # fmt: skip

    def edit(self, message: Message, text: str) -> Message:
        """The author changes the text or caption of their message."""
        if message.sender is None or message.deleted:
            raise MisuseError("people edit their own messages only")
        try:
            plain, entities = person_text(text)
        except ApiError as error:
            raise MisuseError("a person can't send an empty or over-long message") from error
        prefix = "" if "text" in message.content else "caption_"
        message.content["text" if not prefix else "caption"] = plain
        message.content.pop(f"{prefix}entities", None)
        if entities:
            message.content[f"{prefix}entities"] = entities
        message.edited = self.platform.now()
        self.platform.journal.event("edited", chat_id=message.chat.id, message_id=message.id)
        self.platform.tell_bot(message, "edited_message")
        return message

    def delete(self, message: Message) -> None:
        """The message disappears for everybody; the platform tells no bot of that."""
        message.deleted = True
        self.platform.journal.event("deleted", chat_id=message.chat.id, message_id=message.id)

    # -- tapping -------------------------------------------------------------------------------

    def press(
        self, person: Who, message: Message | int, button: str, chat: Where | None = None,
        *, stale: bool = False,
    ) -> Tap | Message | None:  # fmt: skip
        """The person taps the button with this text or data.

        Returns the Tap (its `answered`, `text`, `alert` tell what the bot answered), or, for a
        reply keyboard or a link that starts the bot, the message it sends; None for other links.
        `stale`: the person's screen still shows the button though it is gone: `button` is data.
        """
        who = self.platform.world.person(person)
        shown = self._message(message, chat or who)
        self._check_may_write(who, shown.chat)
        if stale:
            return self._tap(who, shown, button)
        if shown.deleted:
            raise MisuseError("that message is gone")
        fits = [b for b in shown.buttons if button in (b.text, b.data)]
        if not fits:
            there = ", ".join(f"{b.text!r}" for b in shown.buttons) or "none"
            raise MisuseError(
                f"there is no button {button!r} under {shown.text!r}; there are: {there}"
            )
        return self._press(who, shown, fits[0])

    def _press(self, who: Person, shown: Message, button: Button) -> Tap | Message | None:
        if button.data is not None:
            return self._tap(who, shown, button.data)
        if button.url is not None:
            return self.follow(who, button.url)
        return self.say(
            who, button.text, shown.chat, thread=shown.thread if shown.in_topic else None
        )

    def _tap(self, who: Person, shown: Message, data: str) -> Tap:
        platform = self.platform
        tap = Tap(str(secrets.randbits(62)), who, shown, data, platform.now())
        platform.taps[tap.id] = tap
        who.met = True
        platform.journal.event(
            "tap", chat_id=shown.chat.id, message_id=shown.id, person_id=who.id, data=data
        )
        platform.serve("callback_query", render.callback_query(platform, tap))
        return tap

    def follow(self, person: Who, link: str, chat: Where | None = None) -> Message | None:
        """The person opens a link; one to the bot sends /start with its payload.

        `?start=` goes to the private chat, `?startgroup=` adds the bot to `chat` first. A payload
        that isn't 1 to 64 of A-Z a-z 0-9 _ - is left out, as clients do. None: another link.
        """
        parts = urlsplit(link)
        query = {key: values[0] for key, values in parse_qs(parts.query).items()}
        name = parts.path.strip("/") if parts.netloc == "t.me" else query.get("domain", "")
        if name.lower() != self.platform.bot.username.lower():
            return None
        payload = query.get("start") or query.get("startgroup") or ""
        if not re.fullmatch(r"[A-Za-z0-9_-]{1,64}", payload):
            payload = ""
        if "startgroup" not in query:
            return self.say(person, f"/start {payload}")
        if chat is None:
            raise MisuseError("a startgroup link needs the group to add the bot to")
        self.add_bot(chat, by=person)
        return self.say(person, f"/start@{self.platform.bot.username} {payload}", chat)

    def react(self, person: Who, message: Message, emoji: str | None) -> None:
        """The person puts one reaction on a message, or takes theirs away."""
        who = self.platform.world.person(person)
        old = message.reactions.pop(who.id, None)
        if emoji:
            message.reactions[who.id] = emoji
        self.platform.journal.event("edited", chat_id=message.chat.id, message_id=message.id)
        if message.chat.private or message.chat.bot.admin:
            change = {
                "chat": render.chat(message.chat),
                "message_id": message.id,
                "user": render.user(who),
                "date": render.stamp(self.platform.now()),
                "old_reaction": [{"type": "emoji", "emoji": old}] if old else [],
                "new_reaction": [{"type": "emoji", "emoji": emoji}] if emoji else [],
            }
            self.platform.serve("message_reaction", change)

    # -- coming and going ----------------------------------------------------------------------

    def block(self, person: Who) -> None:
        """The person blocks the bot: it gets my_chat_member, and 403 from then on."""
        who = self.platform.world.person(person)
        who.blocked = True
        chat = self.platform.world.chat(who)
        membership.set_bot_standing(self.platform, chat, who, Standing.KICKED)

    def unblock(self, person: Who) -> None:
        """The person lets the bot write again."""
        who = self.platform.world.person(person)
        who.blocked = False
        chat = self.platform.world.chat(who)
        membership.set_bot_standing(self.platform, chat, who, Standing.MEMBER)

    def deactivate(self, person: Who) -> None:
        """The person's account is gone: 403 from then on, and no update about it."""
        self.platform.world.person(person).deactivated = True

    def add_bot(self, group: Where, by: Who | None = None, *, admin: bool = False) -> None:
        """The bot joins a group, or becomes an administrator or a plain member there."""
        chat = self.platform.world.chat(group)
        who = self._member(chat, by)
        standing = Standing.ADMINISTRATOR if admin else Standing.MEMBER
        membership.set_bot_standing(self.platform, chat, who, standing)

    def remove_bot(self, group: Where, by: Who | None = None) -> None:
        """The bot is put out of a group."""
        chat = self.platform.world.chat(group)
        membership.set_bot_standing(self.platform, chat, self._member(chat, by), Standing.KICKED)

    def join(
        self, person: Who, group: Where, *, by: Who | None = None, admin: bool = False
    ) -> None:
        """The person joins a group, or is added by somebody, or changes between member and admin."""
        standing = Standing.ADMINISTRATOR if admin else Standing.MEMBER
        self._stand(person, group, standing, by)

    def leave(self, person: Who, group: Where, *, by: Who | None = None) -> None:
        """The person leaves a group, or is put out by somebody."""
        self._stand(person, group, Standing.KICKED if by else Standing.LEFT, by)

    def migrate(self, group: Where) -> Chat:
        """The group becomes a supergroup; returns the new chat."""
        return membership.migrate(self.platform, self.platform.world.chat(group))

    def add_topic(self, group: Where, name: str, by: Who | None = None) -> Topic:
        """A new topic in a supergroup."""
        chat = self.platform.world.chat(group)
        return membership.open_topic(self.platform, chat, self._member(chat, by), name)

    def _stand(self, person: Who, group: Where, standing: Standing, by: Who | None) -> None:
        world = self.platform.world
        actor = world.person(by) if by is not None else None
        membership.set_standing(
            self.platform, world.chat(group), world.person(person), standing, actor
        )

    def _member(self, chat: Chat, by: Who | None) -> Person:
        if by is not None:
            return self.platform.world.person(by)
        inside = [number for number, standing in chat.members.items() if standing.inside]
        if not inside:
            raise MisuseError("nobody is in that group")
        return self.platform.world.people[inside[0]]

    # -- shared --------------------------------------------------------------------------------

    def _message(self, message: Message | int, chat: Where) -> Message:
        if isinstance(message, Message):
            return message
        found = self.platform.world.chat(chat).messages.get(message)
        if found is None:
            raise MisuseError(f"there is no message {message}")
        return found

    def _check_may_write(self, who: Person, chat: Chat) -> None:
        if chat.private:
            if chat.person is not who:
                raise MisuseError(f"{who.name} can't write in somebody else's private chat")
            if who.blocked:
                raise MisuseError(f"{who.name} has blocked the bot and must unblock it first")
        elif not chat.members.get(who.id, Standing.LEFT).inside:
            raise MisuseError(f"{who.name} isn't in {chat.title}")
        elif chat.migrated_to is not None:
            raise MisuseError(f"{chat.title} has become a supergroup; write there")

    def _thread(self, chat: Chat, thread: Thread) -> int | None:
        if thread is None or (thread == 1 and chat.forum):
            return None
        for topic in chat.topics.values():
            if thread in (topic, topic.id, topic.name):
                if topic.closed:
                    raise MisuseError(f"the topic {topic.name} is closed")
                return topic.id
        raise MisuseError(f"there is no topic {thread!r} in {chat.title}")

    def _post(
        self, person: Who, content: dict[str, Any], chat: Where | None,
        reply_to: Message | int | None, thread: Thread, album: str | None = None,
    ) -> Message:  # fmt: skip
        who = self.platform.world.person(person)
        where = self.platform.world.chat(who if chat is None else chat)
        self._check_may_write(who, where)
        answered = None if reply_to is None else self._message(reply_to, where)
        topic = self._thread(where, thread)
        if where.private:
            who.started = True
        message = self.platform.post(
            where, who, content, reply_to=answered, thread=topic, album=album
        )
        self.platform.tell_bot(message)
        return message


def _caption(caption: str) -> dict[str, Any]:
    if not caption:
        return {}
    text, entities = person_text(caption, MAX_CAPTION)
    return {"caption": text, "caption_entities": entities} if entities else {"caption": text}


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
        membership.open_topic(platform, chat, maker, name)
    return chat
