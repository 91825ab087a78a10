"""A club in a migrated database, on each of the two servers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from clubbot.store.engine import Store
from clubbot.store.schema import upgrade


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    made = Store(database_url)
    upgrade(made)
    yield made
    made.close()
