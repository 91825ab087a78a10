"""What becomes of chats: somebody blocks the bot or comes back, a group moves or lets it go."""

from __future__ import annotations

from telegram import Update

from clubbot.chat.gate import Gate
from clubbot.desk import people


async def changed(gate: Gate, update: Update) -> None:
    """Note that somebody blocked the bot or came back, or that a group took it out or in."""
    asking, change = gate.asking(update), update.my_chat_member
    if asking is None or change is None:
        return
    gone = change.new_chat_member.status in ("left", "kicked")
    if asking.private:
        await gate.note(people.blocked if gone else people.unblocked, asking)
    else:
        await gate.note(people.group_left if gone else people.group_joined, asking)


async def moved(gate: Gate, update: Update) -> None:
    """Follow a group that became a supergroup, and so has another id."""
    message = update.message
    if message is not None and message.migrate_to_chat_id:
        await gate.note(people.group_moved, message.chat.id, message.migrate_to_chat_id)
    elif message is not None and message.migrate_from_chat_id:
        await gate.note(people.group_moved, message.migrate_from_chat_id, message.chat.id)
