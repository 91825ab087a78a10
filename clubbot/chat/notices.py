"""Notices in chat: what is owed is read again, worded and sent."""

from __future__ import annotations

import asyncio
from datetime import datetime
from typing import Any

from clubbot.chat.pace import Urgency
from clubbot.chat.post import Post
from clubbot.chat.words import together
from clubbot.desk import sending
from clubbot.rules.sending import Gone, Outcome


async def deliver(store: Any, post: Post, owed: sending.Owed, now: datetime) -> Outcome:
    """Send one message that is owed, as the facts are now; nothing left to say is Gone."""
    found = await asyncio.to_thread(sending.message, store, owed, now)
    if found is None or owed.chat_id is None:
        return Gone("nothing left to say")
    results, view = found
    urgency = Urgency.DANGER if owed.urgent else Urgency.REMINDER
    return await post.send(owed.chat_id, together(results, view), urgency)
