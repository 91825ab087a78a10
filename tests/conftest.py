"""What tests share: an own empty database, on each of the two servers that the bot runs on."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests.postgresql import MISSING, Server, postgresql_server

__all__ = ["database_url", "postgresql_server", "postgresql_url", "sqlite_url"]

LEFT_OUT = "clubbot_postgresql_left_out"

_numbers = itertools.count(1)

# A slow machine is not a failure.
settings.register_profile(
    "clubbot", settings.default, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("clubbot")


@pytest.fixture(autouse=True)
def _environment() -> Iterator[None]:
    """Hide a real bot's settings from the test, and undo what it does to the environment."""
    before = dict(os.environ)
    for name in before:
        if name.startswith("CLUBBOT_"):
            del os.environ[name]
    yield
    os.environ.clear()
    os.environ.update(before)


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """Say where this test's own SQLite file will be: a file, since memory differs by thread."""
    return f"sqlite:///{(tmp_path / 'club.sqlite').as_posix()}"


@pytest.fixture
def postgresql_url(postgresql_server: Server) -> Iterator[str]:
    """Give this test an empty PostgreSQL database of its own."""
    name = f"test_{next(_numbers)}"
    yield postgresql_server.create(name)
    postgresql_server.drop(name)


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """Run the test twice: with an empty SQLite database, and with an empty PostgreSQL one."""
    url = request.getfixturevalue(f"{request.param}_url")
    assert isinstance(url, str)
    return url


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Pass on from a worker to the run as a whole why PostgreSQL was left out."""
    told = getattr(session.config, "workeroutput", None)
    if told is not None:
        told[LEFT_OUT] = session.config.stash.get(MISSING, "")


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    if reason := getattr(node, "workeroutput", {}).get(LEFT_OUT):
        node.config.stash[MISSING] = reason


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    """Say in the very last line what was not tested, and why."""
    reason = config.stash.get(MISSING, None)
    terminal = config.pluginmanager.get_plugin("terminalreporter")
    if reason and terminal:
        terminal.write_line(f"Nothing was tested on PostgreSQL: {reason}")
