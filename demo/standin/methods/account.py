"""Methods about the bot's own account."""

from __future__ import annotations

from typing import Any

from .. import render
from ..engine import Platform
from ..parameters import Params
from .registry import method


@method("getMe")
def get_me(platform: Platform, params: Params) -> dict[str, Any]:
    """The bot's account, with the privacy setting among its abilities."""
    return render.bot_user(platform.bot) | {
        "can_join_groups": True,
        "can_read_all_group_messages": not platform.bot.privacy,
        "supports_inline_queries": False,
        "can_connect_to_business": False,
        "has_main_web_app": False,
    }
