"""A store with all tables and nothing in them, on each of the two servers.

The migrations run once a server and run; each test gets a copy of what they made.
"""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlmodel import SQLModel

from clubbot.store.engine import Store
from clubbot.store.schema import upgrade
from tests.postgresql import Server

_numbers = itertools.count(1)


def _migrate(url: str) -> None:
    store = Store(url)
    upgrade(store)
    store.close()


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file, to be copied only."""
    file = tmp_path_factory.mktemp("migrated") / "club.sqlite"
    _migrate(f"sqlite:///{file.as_posix()}")
    return file


@dataclass(frozen=True)
class Template:
    """A server, and a migrated database in it, to be copied only."""

    server: Server
    name: str

    def copy(self) -> tuple[str, str]:
        """Make a copy; return its name, and where it is."""
        name = f"club_{next(_numbers)}"
        return name, self.server.create(name, self.name)


@pytest.fixture(scope="session")
def migrated_postgresql(postgresql_server: Server) -> Template:
    """A migrated PostgreSQL database, to be copied only."""
    name = f"migrated_{next(_numbers)}"
    _migrate(postgresql_server.create(name))
    return Template(postgresql_server, name)


@pytest.fixture
def sqlite_store(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Store]:
    """A store in an SQLite file of this test's own."""
    file = tmp_path / "club.sqlite"
    shutil.copyfile(migrated_sqlite, file)
    store = Store(f"sqlite:///{file.as_posix()}")
    yield store
    store.close()


@pytest.fixture
def postgresql_store(migrated_postgresql: Template) -> Iterator[Store]:
    """A store in a PostgreSQL database of this test's own."""
    name, url = migrated_postgresql.copy()
    store = Store(url)
    yield store
    store.close()
    migrated_postgresql.server.drop(name)


@pytest.fixture(scope="session")
def shared_postgresql(migrated_postgresql: Template) -> Iterator[Store]:
    """One PostgreSQL database that tests use one after the other."""
    store = Store(migrated_postgresql.copy()[1])
    yield store
    store.close()


@pytest.fixture
def emptied_postgresql(shared_postgresql: Store) -> Iterator[Store]:
    """The shared PostgreSQL database, empty again after the test: quicker than one of its own."""
    yield shared_postgresql
    children_first = reversed(SQLModel.metadata.sorted_tables)
    with shared_postgresql.write() as tx:
        tx.exec_driver_sql("; ".join(f'DELETE FROM "{t.name}"' for t in children_first))  # noqa: S608


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest) -> Store:
    """Run the test twice: with an SQLite store, and with a PostgreSQL one."""
    made = request.getfixturevalue(f"{request.param}_store")
    assert isinstance(made, Store)
    return made
