"""Notices in chat: what is owed is read again, worded and sent."""

from __future__ import annotations

import asyncio
from datetime import datetime
from typing import Any

from clubbot.chat.charging import pictured
from clubbot.chat.pace import Urgency
from clubbot.chat.post import Post
from clubbot.chat.router import show_menu
from clubbot.chat.words import together
from clubbot.desk import sending
from clubbot.rules.results import YouAreIn
from clubbot.rules.sending import Gone, Outcome, Sent


async def deliver(store: Any, post: Post, owed: sending.Owed, now: datetime) -> Outcome:
    """Send one message that is owed, as the facts are now; nothing left to say is Gone."""
    found = await asyncio.to_thread(sending.message, store, owed, now)
    if found is None or owed.chat_id is None:
        return Gone("nothing left to say")
    results, view = found
    urgency = Urgency.DANGER if owed.urgent else Urgency.REMINDER
    reply = await pictured(together(results, view), results, view.zone)
    outcome = await post.send(owed.chat_id, reply, urgency, owed.topic)
    if isinstance(outcome, Sent):
        post.took(owed.chat_id, reply, owed.club)
    if isinstance(outcome, Sent) and any(isinstance(each, YouAreIn) for each in results):
        await show_menu(post.bot, owed.chat_id, view.role)
    return outcome
