"""People, chats and messages as plain JSON for pages and other processes (not the Bot API's)."""

from __future__ import annotations

from typing import Any

from .engine import Platform, Tap
from .journal import Call
from .world import Chat, Message, Person


def person(of: Person) -> dict[str, Any]:
    """Who they are and how they stand with the bot."""
    return {
        "id": of.id,
        "name": of.name,
        "username": of.username,
        "started": of.started,
        "blocked": of.blocked,
        "deactivated": of.deactivated,
    }


def chat(platform: Platform, of: Chat) -> dict[str, Any]:
    """A chat with its members and topics."""
    people = platform.world.people
    members = [of.person.id] if of.person else [n for n, s in of.members.items() if s.inside]
    return {
        "id": of.id,
        "kind": str(of.kind),
        "title": of.title or (of.person.name if of.person else ""),
        "forum": of.forum,
        "bot": str(of.bot),
        "members": [{"id": number, "name": people[number].name} for number in members],
        "topics": [{"id": t.id, "name": t.name, "closed": t.closed} for t in of.topics.values()],
        "migrated_to": of.migrated_to,
        "pinned": of.pinned,
        "last_message": max((m.id for m in of.visible), default=0),
    }


def message(platform: Platform, of: Message) -> dict[str, Any]:
    """A message as one sees it; offsets of entities are UTF-16 units, as in JavaScript strings."""
    sizes = of.content.get("photo")
    document = of.content.get("document")
    file_id = sizes[-1]["file_id"] if sizes else document["file_id"] if document else None
    return {
        "id": of.id,
        "chat": of.chat.id,
        "from_bot": of.from_bot,
        "from": {"id": of.sender.id, "name": of.sender.name} if of.sender else None,
        "date": of.date.isoformat(),
        "edited": of.edited.isoformat() if of.edited else None,
        "deleted": of.deleted,
        "text": of.text,
        "entities": of.entities,
        "keyboard": [
            [{"text": b.text, "data": b.data, "url": b.url} for b in row] for row in of.keyboard
        ],
        "inline": "inline_keyboard" in (of.markup or {}),
        "force_reply": bool((of.markup or {}).get("force_reply")),
        "photo": bool(sizes),
        "document": document["file_name"] if document else None,
        "file": f"/control/files/{file_id}" if file_id else None,
        "reply_to": of.reply_to.id if of.reply_to else None,
        "thread": of.thread if of.in_topic else None,
        "album": of.album,
        "reactions": list(of.reactions.values()),
        "service": next(iter(of.content)) if of.service else None,
        "note": service_note(of) if of.service else "",
    }


def service_note(of: Message) -> str:
    """A service message in words."""
    content = of.content
    if joined := content.get("new_chat_members"):
        return f"{', '.join(who['first_name'] for who in joined)} joined"
    if left := content.get("left_chat_member"):
        return f"{left['first_name']} left"
    if topic := content.get("forum_topic_created"):
        return f"topic {topic['name']} opened"
    if "forum_topic_closed" in content or "forum_topic_reopened" in content:
        return "topic closed" if "forum_topic_closed" in content else "topic opened again"
    if "migrate_to_chat_id" in content or "migrate_from_chat_id" in content:
        return "the group became a supergroup"
    return "a message was pinned" if "pinned_message" in content else ""


def tap(of: Tap) -> dict[str, Any]:
    """A tap and what was answered to it."""
    return {
        "id": of.id,
        "person": of.person.id,
        "data": of.data,
        "answered": of.answered,
        "text": of.text,
        "alert": of.alert,
    }


def call(of: Call) -> dict[str, Any]:
    """A request of the bot and how it went."""
    return {
        "method": of.method,
        "params": of.params,
        "files": {name: len(content) for name, content in of.files.items()},
        "at": of.at.isoformat(),
        "result": of.result,
        "error": of.error.body() if of.error else None,
        "fault": of.fault,
        "done": of.done,
    }
