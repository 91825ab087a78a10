"""A running stand-in for the platform, and the library's own application that talks to it."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest

from clubbot.chat.intake import AnyApplication
from clubbot.connect import application_for
from clubbot.settings import Settings
from clubbot.store import schema
from clubbot.store.engine import Store
from demo.standin import StandIn
from demo.standin.outside import OutsideCheck


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


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file with all tables and nothing in them."""
    file = tmp_path_factory.mktemp("migrated") / "club.sqlite"
    store = Store(f"sqlite:///{file.as_posix()}")
    schema.upgrade(store)
    store.close()
    return file


@pytest.fixture
def store(empty_database: Path, tmp_path: Path) -> Iterator[Store]:
    """A store of this test's own."""
    file = tmp_path / "club.sqlite"
    shutil.copyfile(empty_database, file)
    made = Store(f"sqlite:///{file.as_posix()}")
    yield made
    made.close()
