"""Whether everything is in order before the bot is started: one line for each thing."""

from __future__ import annotations

import os
from collections.abc import Callable

import sqlalchemy as sa
from telegram.error import InvalidToken, TelegramError

from clubbot import files
from clubbot.chat.errors import in_short
from clubbot.connect import NOT_ACCEPTED, application_for
from clubbot.settings import CannotRun, Settings
from clubbot.store.engine import Store, StoreUnavailable


def database(settings: Settings, say: Callable[[str], None]) -> bool:
    """Say whether the database can be used, without making or changing one."""
    try:
        path = files.path_of(settings)
        if path is not None and not path.exists():
            folder = next(each for each in path.absolute().parents if each.exists())
            if not os.access(folder, os.W_OK):
                raise CannotRun(f"{folder} can't be written to")
            say(f"database: will be made at {path}")
            return True
        store = Store(settings.database_url)
        try:
            with store.write() as tx:
                tx.rollback()
            tables = sa.inspect(store.engine).get_table_names()
        finally:
            store.close()
    except (CannotRun, StoreUnavailable) as error:
        say(f"database: {error}")
        return False
    say(f"database: in order, {len(tables)} tables")
    return True


async def platform(settings: Settings, say: Callable[[str], None]) -> bool:
    """Say whether the token is accepted, as whom, and what the bot will see in groups."""
    application = application_for(settings)
    try:
        await application.bot.initialize()
        me = application.bot.bot
    except InvalidToken:
        say(f"token: {NOT_ACCEPTED}")
        return False
    except TelegramError as error:
        say(f"token: {settings.api_url} can't be reached ({in_short(error)})")
        return False
    finally:
        await application.bot.shutdown()
    say(f"token: in order, the bot is @{me.username}")
    if me.can_read_all_group_messages:
        say("groups: privacy mode is off, the bot sees every message; it needs only its own")
    else:
        say("groups: privacy mode is on, the bot sees commands, mentions and answers to it")
    return True
