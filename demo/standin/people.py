"""What people do: write, tap, send pictures, edit, open links, react.

Everything here takes effect at once and returns what came of it; the bot hears of it by update.
What no client would let a person do raises MisuseError.
"""

from __future__ import annotations

import mimetypes
import re
import secrets
from typing import Any
from urllib.parse import parse_qs, urlsplit

from . import render
from .engine import Platform, Tap
from .entities import MAX_CAPTION, person_text
from .errors import ApiError, MisuseError
from .files import plain_picture
from .membership import find_topic, set_bot_standing
from .methods.media import next_album
from .parameters import Upload
from .world import GENERAL_TOPIC, Button, Chat, Message, Person, Standing, Topic, Where, Who

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

    def send_video(
        self, person: Who, content: bytes, chat: Where | None = None, *, caption: str = ""
    ) -> Message:
        """The person sends a film."""
        fields = {"video": self.platform.files.video(content), **_caption(caption)}
        return self._post(person, fields, chat, None, None)

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
        who = self.platform.world.person(person)
        group = self.platform.world.chat(chat)
        set_bot_standing(self.platform, group, who, Standing.MEMBER)
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

    def _thread(self, who: Person, chat: Chat, thread: Thread) -> int | None:
        if thread is None or (thread == GENERAL_TOPIC and chat.forum):
            return None
        topic = find_topic(chat, thread)
        if topic.closed and not chat.members[who.id].admin:
            raise MisuseError(f"the topic {topic.name} is closed")
        return topic.id

    def _post(
        self, person: Who, content: dict[str, Any], chat: Where | None,
        reply_to: Message | int | None, thread: Thread, album: str | None = None,
    ) -> Message:  # fmt: skip
        who = self.platform.world.person(person)
        where = self.platform.world.chat(who if chat is None else chat)
        self._check_may_write(who, where)
        answered = None if reply_to is None else self._message(reply_to, where)
        topic = self._thread(who, where, thread)
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
