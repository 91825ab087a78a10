"""The people, chats and messages that exist in the stand-in, and how they are found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from .errors import MisuseError

FIRST_PERSON_ID = 700_000_001
FIRST_GROUP_ID = -4_000_001
FIRST_SUPERGROUP_ID = -1_001_000_000_001
GENERAL_TOPIC = 1
"""What clients call the thread of a forum that is no topic; bots never see the number."""


class ChatKind(StrEnum):
    """What sort of chat it is, in the platform's words."""

    PRIVATE = "private"
    GROUP = "group"
    SUPERGROUP = "supergroup"


class Standing(StrEnum):
    """How somebody stands in a chat, in the platform's words."""

    CREATOR = "creator"
    ADMINISTRATOR = "administrator"
    MEMBER = "member"
    LEFT = "left"
    KICKED = "kicked"

    @property
    def inside(self) -> bool:
        """True for those who read and write in the chat."""
        return self not in (Standing.LEFT, Standing.KICKED)

    @property
    def admin(self) -> bool:
        """True for those who run the chat."""
        return self in (Standing.CREATOR, Standing.ADMINISTRATOR)


@dataclass(slots=True, eq=False)
class Person:
    """Somebody with an account."""

    id: int
    first_name: str
    last_name: str | None = None
    username: str | None = None
    language_code: str | None = "en"
    started: bool = False
    """They have opened the private chat with the bot at least once."""
    blocked: bool = False
    deactivated: bool = False
    met: bool = False
    """The bot has seen them in an update."""

    @property
    def name(self) -> str:
        """First and last name."""
        return " ".join(part for part in (self.first_name, self.last_name) if part)


@dataclass(frozen=True, slots=True)
class Button:
    """One button under a message, or of a reply keyboard."""

    text: str
    data: str | None = None
    url: str | None = None


@dataclass(slots=True, eq=False)
class Topic:
    """A thread of a supergroup; `id` is the number of the service message that opened it."""

    id: int
    name: str
    closed: bool = False


@dataclass(slots=True, eq=False)
class Message:
    """A message as it stands now; edits change it in place."""

    id: int
    chat: Chat
    date: datetime
    sender: Person | None
    """None: the bot."""
    content: dict[str, Any]
    """The fields that carry what was said, as the platform writes them."""
    reply_to: Message | None = None
    thread: int | None = None
    in_topic: bool = False
    album: str | None = None
    markup: dict[str, Any] | None = None
    edited: datetime | None = None
    deleted: bool = False
    reactions: dict[int, str] = field(default_factory=dict)

    @property
    def from_bot(self) -> bool:
        """True when the bot wrote it."""
        return self.sender is None

    @property
    def text(self) -> str:
        """The text, or the caption, or nothing."""
        return str(self.content.get("text") or self.content.get("caption") or "")

    @property
    def entities(self) -> list[dict[str, Any]]:
        """What is bold, a link, a command, ...: the platform's entities over `text`."""
        return list(self.content.get("entities") or self.content.get("caption_entities") or [])

    @property
    def service(self) -> bool:
        """True for "somebody joined" and the like."""
        return not self.content.keys() & {"text", "photo", "document"}

    @property
    def keyboard(self) -> list[list[Button]]:
        """The rows of buttons that one sees under it now, or that a reply keyboard offers."""
        markup = self.markup or {}
        if "inline_keyboard" in markup:
            return [
                [Button(b["text"], b.get("callback_data"), b.get("url")) for b in row]
                for row in markup["inline_keyboard"]
            ]
        rows = markup.get("keyboard", [])
        return [[Button(b if isinstance(b, str) else b["text"]) for b in row] for row in rows]

    @property
    def buttons(self) -> list[Button]:
        """All buttons, left to right, top to bottom."""
        return [button for row in self.keyboard for button in row]


@dataclass(slots=True, eq=False)
class Chat:
    """A conversation: one person with the bot, or a group."""

    id: int
    kind: ChatKind
    title: str | None = None
    person: Person | None = None
    forum: bool = False
    members: dict[int, Standing] = field(default_factory=dict)
    bot: Standing = Standing.MEMBER
    bot_reads_all: bool = False
    """What the bot's privacy setting was when it joined; later changes need a re-join."""
    topics: dict[int, Topic] = field(default_factory=dict)
    messages: dict[int, Message] = field(default_factory=dict)
    migrated_to: int | None = None
    pinned: list[int] = field(default_factory=list)

    @property
    def private(self) -> bool:
        """True for the conversation of one person with the bot."""
        return self.kind is ChatKind.PRIVATE

    @property
    def visible(self) -> list[Message]:
        """The messages that one sees, oldest first."""
        return [message for message in self.messages.values() if not message.deleted]


@dataclass(slots=True)
class World:
    """Everybody and everything, with the platform's ways of numbering them."""

    people: dict[int, Person] = field(default_factory=dict)
    chats: dict[int, Chat] = field(default_factory=dict)
    _last_account_message: int = 0
    _groups: int = 0
    _supergroups: int = 0

    def add_person(self, first_name: str, **details: Any) -> Person:
        """A new person, who hasn't met the bot, and their private chat."""
        number = details.pop("id", None) or FIRST_PERSON_ID + len(self.people)
        if number in self.people:
            raise MisuseError(f"there is a person {number} already")
        person = Person(number, first_name, **details)
        self.people[number] = person
        self.chats[number] = Chat(number, ChatKind.PRIVATE, person=person)
        return person

    def add_chat(self, kind: ChatKind, title: str, *, forum: bool = False) -> Chat:
        """A new group with nobody in it."""
        if kind is ChatKind.GROUP:
            number = FIRST_GROUP_ID - self._groups
            self._groups += 1
        else:
            number = FIRST_SUPERGROUP_ID - self._supergroups
            self._supergroups += 1
        chat = Chat(number, kind, title, forum=forum, bot=Standing.LEFT)
        self.chats[number] = chat
        return chat

    def next_message_id(self, chat: Chat) -> int:
        """The number the next message gets: per supergroup, or shared by all other chats."""
        if chat.kind is ChatKind.SUPERGROUP:
            # Number 1 is the creation of the supergroup, which bots aren't told of.
            return max(chat.messages, default=1) + 1
        self._last_account_message += 1
        return self._last_account_message

    def person(self, who: Person | str | int) -> Person:
        """The person meant by an object, an id, a full or first name, or a user name."""
        if isinstance(who, Person):
            return who
        for person in self.people.values():
            if who in (person.id, person.name, person.first_name, f"@{person.username}"):
                return person
        raise MisuseError(f"there is no person {who!r}")

    def chat(self, which: Chat | Person | str | int) -> Chat:
        """The chat meant by an object, a person (their private chat), an id or a title."""
        if isinstance(which, Chat):
            return which
        if isinstance(which, Person):
            return self.chats[which.id]
        for chat in self.chats.values():
            if which == chat.id or (which == chat.title and chat.migrated_to is None):
                return chat
        if isinstance(which, str):
            return self.chats[self.person(which).id]
        raise MisuseError(f"there is no chat {which!r}")

    def shared_groups(self, person: Person) -> Iterator[Chat]:
        """The groups that both this person and the bot are in."""
        for chat in self.chats.values():
            standing = chat.members.get(person.id, Standing.LEFT)
            if standing.inside and chat.bot.inside and not chat.private:
                yield chat


Who = Person | str | int
"""A person, their name, or their id."""
Where = Chat | Person | str | int
"""A chat, a person for their private one, a title, or an id."""
