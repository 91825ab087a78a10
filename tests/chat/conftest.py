"""A running stand-in for the platform, and the library's own application that talks to it."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from clubbot.chat import polling
from clubbot.chat.intake import AnyApplication
from clubbot.connect import application_for
from clubbot.settings import Settings
from clubbot.store import schema
from clubbot.store.engine import Store
from demo.standin import StandIn
from demo.standin.outside import OutsideCheck
from tests.chat.played import Club, club_at_work, found_club, no_trouble
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


@pytest.fixture(scope="session")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with a club that is set up, to copy."""
    file = tmp_path_factory.mktemp("founded") / "club.sqlite"
    found_club(file)
    return file


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the bot ask for updates in quick succession: a test never leaves it idle."""
    monkeypatch.setattr(polling, "SHORT_PAUSE", 0.01)


@pytest.fixture
async def club(
    founded: Path,
    tmp_path: Path,
    quick: None,
    caplog: pytest.LogCaptureFixture,
    request: pytest.FixtureRequest,
) -> AsyncIterator[Club]:
    """A club at work; privacy mode is on unless a test says otherwise by its parameter.

    Afterwards nothing was logged as an error, unless a test expects `trouble`.
    """
    file = tmp_path / "club.sqlite"
    shutil.copyfile(founded, file)
    async with club_at_work(file, privacy=getattr(request, "param", True)) as running:
        yield running
    if not running.trouble:
        assert no_trouble(caplog.get_records("call")) == []


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with all tables and nobody in them, to copy."""
    file = tmp_path_factory.mktemp("migrated") / "club.sqlite"
    fresh = Store(f"sqlite:///{file.as_posix()}")
    schema.upgrade(fresh)
    fresh.close()
    return file


@pytest.fixture
async def new(
    migrated: Path, tmp_path: Path, quick: None, caplog: pytest.LogCaptureFixture
) -> AsyncIterator[Club]:
    """A bot that nobody has claimed yet; its code is in `code`."""
    file = tmp_path / "new.sqlite"
    shutil.copyfile(migrated, file)
    async with club_at_work(file) as running:
        yield running
    assert running.trouble or no_trouble(caplog.get_records("call")) == []
