"""The database and its transactions: the only place that says BEGIN, commit and rollback."""

from __future__ import annotations

import sqlite3
import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Dialect, Engine
from sqlalchemy.exc import DBAPIError

from clubbot.store import remembering

BUSY_MS = 5_000

Tx = Connection
"""An open transaction: what every query and every use case is handed."""


class StoreUnavailable(Exception):
    """The database can't be used right now; the text is one line for the log and the console."""


class _Turnstile:
    """Lets one writer through at a time, in the order in which they came."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[threading.Event] = deque()
        self._taken = False

    def __enter__(self) -> None:
        with self._guard:
            if not self._taken:
                self._taken = True
                return
            mine = threading.Event()
            self._waiting.append(mine)
        mine.wait()

    def __exit__(self, *_: object) -> None:
        with self._guard:
            if self._waiting:
                self._waiting.popleft().set()
            else:
                self._taken = False


class Store:
    """A database by URL: SQLite or PostgreSQL, with the same promises on both.

    A committed transaction survives a power cut. On SQLite writers queue in the process, first
    come first served; on PostgreSQL they wait for each other only within a club (`lock` in
    clubs), so clubs don't hold each other up.
    """

    def __init__(self, url: str, *, foreign_keys: bool = True) -> None:
        self.url = sa.engine.make_url(_with_driver(url))
        self.sqlite = self.url.get_backend_name() == "sqlite"
        if self.sqlite:
            self.engine = _sqlite(self.url, foreign_keys=foreign_keys)
            self._reader: Engine = self.engine
            self._writer: Engine = self.engine.execution_options(sqlite_begin="IMMEDIATE")
        else:
            self.engine = sa.create_engine(self.url, pool_size=10, pool_pre_ping=True)
            self._reader = self.engine.execution_options(isolation_level="REPEATABLE READ")
            self._writer = self.engine
        self._turnstile = _Turnstile()
        self._memory = remembering.Memory()
        remembering.watch(self.engine)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection on one snapshot; nothing written through it is kept."""
        with _translated(), self._reader.connect() as tx:
            remembering.begin(tx, self._memory, writes=False)
            yield tx

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """Give a connection that holds the writers' lock; commits on leaving, unless it raised.

        Code inside may call `tx.rollback()`: then nothing is kept.
        """
        if self.sqlite:
            with self._turnstile, self._begun() as tx:
                yield tx
        else:
            with self._begun() as tx:
                yield tx

    @contextmanager
    def _begun(self) -> Iterator[Connection]:
        with _translated(), self._writer.connect() as tx:
            recall = remembering.begin(tx, self._memory, writes=True)
            yield tx
            recall.before_commit(tx)
            tx.commit()
            recall.committed()

    def copy_to(self, file: Path) -> None:
        """Write a SQLite database, as the last commit left it, to a new file."""
        with _translated(), self.engine.connect() as connection:
            raw = connection.connection.driver_connection
            connection.rollback()
            assert raw is not None  # noqa: S101 - an open connection has one
            raw.execute("VACUUM INTO ?", (str(file),))

    def close(self) -> None:
        self.engine.dispose()


def inserting(dialect: Dialect, table: sa.Table) -> Any:
    """Return an insert that can leave out what is there already, as this server spells it."""
    if dialect.name == "sqlite":
        from sqlalchemy.dialects import sqlite

        return sqlite.insert(table)
    from sqlalchemy.dialects import postgresql

    return postgresql.insert(table)


def _with_driver(url: str) -> str:
    for plain in ("postgresql://", "postgres://"):
        if url.startswith(plain):
            return "postgresql+psycopg://" + url.removeprefix(plain)
    return url


def _sqlite(url: sa.engine.URL, *, foreign_keys: bool) -> Engine:
    engine = sa.create_engine(
        url,
        pool_size=10,
        pool_use_lifo=True,  # the connection used last has the pages in its cache
        connect_args={"check_same_thread": False},
    )

    @sa.event.listens_for(engine, "connect")
    def _on_connect(connection: Any, _: object) -> None:
        connection.isolation_level = None
        for pragma in (
            f"busy_timeout={BUSY_MS}",
            "journal_mode=WAL",
            f"foreign_keys={'ON' if foreign_keys else 'OFF'}",
            "synchronous=FULL",
            "secure_delete=ON",  # who has left is to be found nowhere in the file
        ):
            connection.execute(f"PRAGMA {pragma}")

    @sa.event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        mode = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
        begin = f"BEGIN {mode}"
        try:
            connection.connection.cursor().execute(begin)
        except sqlite3.Error as error:
            wrapped = DBAPIError.instance(begin, (), error, sqlite3.Error)
            raise wrapped from error

    return engine


_OUTAGES = (
    ("locked", "the database is locked by another program; close it, then try again"),
    ("readonly", "the database can't be written to; check the file's permissions"),
    ("read-only", "the database can't be written to; check the file's permissions"),
    ("no space left", "the disk with the database is full; make room, then try again"),
    ("full", "the disk with the database is full; make room, then try again"),
    ("unable to open", "the database can't be opened; check the path and its permissions"),
    ("malformed", "the database is damaged; restore the last backup"),
    ("not a database", "the database file is not a database; check the path"),
    ("disk i/o", "the disk with the database reports errors; check it"),
    ("connection", "the database server doesn't answer; check that it runs"),
)


@contextmanager
def _translated() -> Iterator[None]:
    """Turn outages of the database into one clear line; leave bugs as they are."""
    try:
        yield
    except sa.exc.IntegrityError:
        raise
    except DBAPIError as error:
        said = str(error.orig).lower()
        for sign, line in _OUTAGES:
            if sign in said:
                raise StoreUnavailable(line) from error
        raise
