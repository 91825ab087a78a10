"""The methods of the Bot API that the stand-in carries out, by subject."""

from . import account, callbacks, chats, commands, editing, media, receiving, sending
from .registry import METHODS

__all__ = [
    "METHODS", "account", "callbacks", "chats", "commands", "editing", "media", "receiving",
    "sending",
]  # fmt: skip
