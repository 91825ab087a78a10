"""A loopback stand-in for the Telegram Bot API: people, chats and trouble on demand.

    standin = StandIn(now=clock)
    await standin.start()
    maya = standin.add_person("Maya")
    standin.say(maya, "/start")
    reply = await standin.wait_for_text(maya, "Hello")
    standin.press(maya, reply, "Book")

Nothing in it ever talks to the real platform. `python -m demo.standin --port 8081` runs it alone;
its JSON interface for pages and other processes is described in `control`.
"""

from .engine import Tap
from .errors import ApiError, MisuseError
from .faults import Fault, Faults
from .journal import Call
from .standin import TOKEN, StandIn
from .world import Button, Chat, ChatKind, Message, Person, Standing, Topic

__all__ = [
    "TOKEN",
    "ApiError",
    "Button",
    "Call",
    "Chat",
    "ChatKind",
    "Fault",
    "Faults",
    "Message",
    "MisuseError",
    "Person",
    "StandIn",
    "Standing",
    "Tap",
    "Topic",
]
