"""The database as a file: one bot at a time, copied whole and put back whole."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import sqlalchemy as sa
from filelock import FileLock, Timeout

from clubbot.settings import CannotRun, Settings, data_folder
from clubbot.store import schema
from clubbot.store.engine import Store

OWN_BACKUPS = "PostgreSQL has its own tools for that: use pg_dump and pg_restore"


def path_of(settings: Settings) -> Path | None:
    """Return the SQLite file that the settings name; None where it is a server."""
    url = sa.engine.make_url(settings.database_url)
    if url.get_backend_name() != "sqlite":
        return None
    if not url.database or url.database == ":memory:":
        raise CannotRun(
            "CLUBBOT_DATABASE_URL must name a file, such as sqlite:////folder/club.sqlite"
        )
    return Path(url.database)


def there(settings: Settings) -> None:
    """Raise CannotRun where the SQLite file isn't there, so that looking doesn't make one."""
    path = path_of(settings)
    if path is not None and not path.is_file():
        raise CannotRun(f"there is no database at {path}; `clubbot run` makes one")


@contextmanager
def alone(settings: Settings) -> Iterator[None]:
    """Hold the database's lock file, so that no second bot uses it.

    A server needs none: there the platform lets only one bot fetch updates.
    """
    path = path_of(settings)
    if path is None:
        yield
        return
    if path.parent == data_folder():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.parent.is_dir():
        raise CannotRun(
            f"the folder {path.parent} isn't there; make it, or change CLUBBOT_DATABASE_URL"
        )
    lock = FileLock(f"{path}.lock", timeout=0)
    try:
        lock.acquire()
    except Timeout:
        raise CannotRun(f"another clubbot runs with {path}; stop that one first") from None
    except OSError as error:
        raise CannotRun(f"{path.parent} can't be written to ({error.strerror})") from None
    try:
        yield
    finally:
        lock.release()


def back_up(settings: Settings, file: Path) -> None:
    """Copy the database, as of the last commit, to a file that isn't there yet."""
    if path_of(settings) is None:
        raise CannotRun(OWN_BACKUPS)
    there(settings)
    _must_be_new(file)
    part = file.with_name(file.name + ".part")
    part.unlink(missing_ok=True)
    store = Store(settings.database_url)
    try:
        store.copy_to(part)
    finally:
        store.close()
    part.chmod(0o600)
    part.replace(file)


def restore(settings: Settings, file: Path) -> Path | None:
    """Put a backup in the database's place; return where what was there is kept."""
    path = path_of(settings)
    if path is None:
        raise CannotRun(OWN_BACKUPS)
    _must_be_whole(file)
    with alone(settings):
        kept = _kept(path) if path.is_file() else None
        part = path.with_name(path.name + ".part")
        shutil.copyfile(file, part)
        _up_to_date(part)
        with part.open("rb+") as copied:
            os.fsync(copied.fileno())
        # What the old file's journal holds is in the kept copy; it doesn't fit the new file.
        for rest in ("-wal", "-shm"):
            path.with_name(path.name + rest).unlink(missing_ok=True)
        part.chmod(0o600)
        part.replace(path)
    return kept


def _must_be_new(file: Path) -> None:
    if file.exists():
        raise CannotRun(f"{file} is there already; name a new file")
    if not file.absolute().parent.is_dir():
        raise CannotRun(f"the folder of {file} isn't there; make it first")


def _must_be_whole(file: Path) -> None:
    """Raise CannotRun where a file is no undamaged database of a clubbot."""
    if not file.is_file():
        raise CannotRun(f"there is no file {file}")
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as database:
            fine = database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            orphans = database.execute("PRAGMA foreign_key_check").fetchone()
            database.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.Error:
        raise CannotRun(f"{file} is not a backup of a clubbot database") from None
    if not fine or orphans:
        raise CannotRun(f"{file} is damaged; take another backup")


def _up_to_date(file: Path) -> None:
    store = Store(f"sqlite:///{file.as_posix()}")
    try:
        schema.upgrade(store)
    except BaseException:
        store.close()
        file.unlink()
        raise
    store.close()


def _kept(path: Path) -> Path:
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    kept = path.with_name(f"{path.name}.before-restore-{stamp}")
    _must_be_new(kept)
    store = Store(f"sqlite:///{path.as_posix()}")
    try:
        store.copy_to(kept)
    finally:
        store.close()
    kept.chmod(0o600)
    return kept
