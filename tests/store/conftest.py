"""A club in a migrated database, on each of the two servers."""

from tests.store.migrated import (
    migrated_postgresql,
    migrated_sqlite,
    postgresql_store,
    sqlite_store,
    store,
)

__all__ = ["migrated_postgresql", "migrated_sqlite", "postgresql_store", "sqlite_store", "store"]
