"""Brings a database's schema up to date, under a lock, and refuses one that is newer than this."""

from __future__ import annotations

import glob
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from importlib import resources
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from clubbot.store.engine import Store, StoreUnavailable

_LOCK_KEY = 0x636C7562
"""PostgreSQL's advisory locks are named by a number; this one spells 'club'."""


class NewerDatabase(StoreUnavailable):
    """The database was made by a later version of clubbot."""


def migrations() -> Path:
    """Return the folder of migrations: beside the package in a checkout, inside it in a wheel."""
    inside = Path(str(resources.files("clubbot"))) / "migrations"
    return inside if inside.is_dir() else inside.parent.parent / "migrations"


def _newest() -> str:
    """Return the newest revision, which the migrations' file names begin with.

    So a bot whose schema is up to date does without alembic, and the memory that it takes.
    """
    return max(file.stem.partition("_")[0] for file in (migrations() / "versions").glob("*.py"))


def _revision(store: Store) -> str | None:
    """Return the revision that a database is at; None where it is new."""
    with store.read() as tx:
        if not sa.inspect(tx).has_table("alembic_version"):
            return None
        marked = sa.table("alembic_version", sa.column("version_num"))
        found = list(tx.execute(sa.select(marked.c.version_num)).scalars())
    return found[0] if len(found) == 1 else None


def upgrade(store: Store) -> tuple[str | None, str]:
    """Bring the schema up to date and return (revision before, revision after).

    Two processes that start together take turns. On SQLite foreign keys are off meanwhile, since
    rebuilding a parent table would delete its children, and are checked before the commit.
    Raises NewerDatabase where the database knows a revision that this version doesn't.
    """
    if (stands := _revision(store)) == _newest():
        return stands, stands
    from alembic import command
    from alembic.config import Config
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(migrations()))
    scripts = ScriptDirectory.from_config(config)
    head = scripts.get_current_head()
    assert head is not None  # noqa: S101 - the migrations travel with the package
    with _locked(store) as tx:
        before = MigrationContext.configure(tx).get_current_revision()
        known = {script.revision for script in scripts.walk_revisions()}
        if before is not None and before not in known:
            raise NewerDatabase(
                f"the database (schema {before}) is newer than this clubbot (schema {head}); "
                "install the newer clubbot, or restore a backup made with this one"
            )
        if before != head:
            if before is not None:
                _keep_copy(store, before)
            config.attributes["connection"] = tx
            command.upgrade(config, "head")
    return before, head


def _keep_copy(store: Store, revision: str) -> None:
    """Copy a SQLite file as it is before its schema changes; a server has its own backups.

    The copy is whole or not there: one that was cut short, or is of an earlier time, is replaced.
    """
    if store.sqlite and store.url.database:
        copy = Path(store.url.database).with_suffix(f".before-{revision}")
        begun = copy.with_name(f"{copy.name}.part")
        begun.unlink(missing_ok=True)
        store.copy_to(begun)
        begun.chmod(0o600)
        begun.replace(copy)


def drop_copies(store: Store, before: datetime) -> None:
    """Delete the copies beside a SQLite file that were made before an upgrade or a restore."""
    if store.sqlite and store.url.database:
        file = Path(store.url.database)
        for name in {file.stem, file.name}:
            for copy in file.parent.glob(f"{glob.escape(name)}.before-*"):
                if copy.stat().st_mtime < before.timestamp():
                    copy.unlink(missing_ok=True)


@contextmanager
def _locked(store: Store) -> Iterator[Connection]:
    if not store.sqlite:
        with store.write() as tx:
            tx.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK_KEY)))
            yield tx
        return
    apart = Store(store.url.render_as_string(hide_password=False), foreign_keys=False)
    try:
        with apart.write() as tx:
            yield tx
            if broken := tx.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
                raise RuntimeError(f"the migration would leave {len(broken)} orphaned rows")
    finally:
        apart.close()
