"""A running stand-in for the platform, and the library's own application that talks to it."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from clubbot.chat.intake import AnyApplication
from clubbot.connect import application_for
from clubbot.settings import Settings
from clubbot.store.engine import Store
from demo.standin import StandIn
from demo.standin.outside import OutsideCheck
from tests.store.migrated import migrated_sqlite, sqlite_store

__all__ = ["application", "migrated_sqlite", "sqlite_store", "standin", "store"]


@pytest.fixture
async def standin() -> AsyncIterator[StandIn]:
    """Running on real time; afterwards nothing that went in or out was objected to."""
    check = OutsideCheck()
    async with StandIn(validator=check, webhook_pause=0.05) as running:
        yield running
    assert check.objections == []


@pytest.fixture
async def application(standin: StandIn) -> AsyncIterator[AnyApplication]:
    """The library's application as the bot makes it, initialized, with no handlers yet."""
    made = application_for(settings_for(standin))
    async with made:
        yield made


def settings_for(standin: StandIn, **others: object) -> Settings:
    """Settings for the stand-in, whatever the environment and a .env file say."""
    return Settings(_env_file=None, token=standin.token, api_url=standin.base_url, **others)


@pytest.fixture
def store(sqlite_store: Store) -> Store:
    """A migrated store of this test's own; what the chat does is the same on both servers."""
    return sqlite_store
