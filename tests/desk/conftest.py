"""A small club in a migrated database, on each of the two servers."""

from __future__ import annotations

import pytest

from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club
from tests.store.migrated import (
    emptied_postgresql,
    migrated_postgresql,
    migrated_sqlite,
    shared_postgresql,
    sqlite_store,
    store,
)

__all__ = [
    "emptied_postgresql",
    "migrated_postgresql",
    "migrated_sqlite",
    "shared_postgresql",
    "sqlite_store",
    "store",
]


@pytest.fixture
def postgresql_store(emptied_postgresql: Store) -> Store:
    """The shared PostgreSQL database, empty."""
    return emptied_postgresql


@pytest.fixture
def club(store: Store) -> Club:
    """A club with kits A to F, the teams Red and Blue, on Thursday 2026-10-01 at noon."""
    return make_club(store)


@pytest.fixture
def other_club(store: Store) -> Club:
    """Another club in the same database, with kits, teams and people of the same names."""
    return make_club(store, name="Other")
