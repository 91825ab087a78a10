"""What the store promises of a transaction, on both servers, and what it says in an outage."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store import clubs, engine
from clubbot.store.engine import Store, StoreUnavailable, Tx
from clubbot.store.tables import CLUB, TEAM

NOW = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)


def _club(store: Store, name: str = "Club") -> ClubId:
    with store.write() as tx:
        return clubs.found(tx, name, "Europe/Dublin", NOW)


def _names(store: Store) -> list[str]:
    with store.read() as tx:
        return list(tx.execute(sa.select(CLUB.c.name).order_by(CLUB.c.id)).scalars())


def _another(store: Store) -> Store:
    """Open the same database as a second program would."""
    return Store(store.url.render_as_string(hide_password=False))


def _count_up(store: Store, club: ClubId) -> None:
    """Read, think, write: the way in which an update gets lost."""
    with store.write() as tx:
        clubs.lock(tx, club)
        seen = tx.execute(sa.select(CLUB.c.last_seq).where(CLUB.c.id == club)).scalar_one()
        time.sleep(0.002)
        clubs.change(tx, club, last_seq=seen + 1)


@pytest.mark.parametrize("programs", [1, 2])
def test_no_update_is_lost_when_many_read_and_write_the_same_row(
    store: Store, programs: int
) -> None:
    club = _club(store)
    stores = [store, *(_another(store) for _ in range(programs - 1))]
    with ThreadPoolExecutor(8) as pool:
        jobs = [pool.submit(_count_up, stores[n % programs], club) for n in range(24)]
        for job in jobs:
            job.result()
    for each in stores[1:]:
        each.close()
    with store.read() as tx:
        row = tx.execute(sa.select(CLUB.c.last_seq, CLUB.c.version)).one()
    assert tuple(row) == (24, 24)


def test_writers_are_served_in_the_order_in_which_they_came(sqlite_store: Store) -> None:
    served: list[int] = []

    def write(number: int) -> None:
        with sqlite_store.write():
            served.append(number)

    waiting = sqlite_store._turnstile._waiting
    threads = [threading.Thread(target=write, args=(number,)) for number in range(12)]
    with sqlite_store.write():
        for place, thread in enumerate(threads):
            thread.start()
            while len(waiting) <= place:
                time.sleep(0.001)
    for thread in threads:
        thread.join()
    assert served == list(range(12))


def test_on_postgresql_one_club_does_not_wait_for_another(postgresql_store: Store) -> None:
    one, other = _club(postgresql_store, "one"), _club(postgresql_store, "other")
    with postgresql_store.write() as tx:
        clubs.lock(tx, one)
        with postgresql_store.write() as meanwhile:
            meanwhile.execute(sa.text("SET LOCAL lock_timeout = '5s'"))
            assert clubs.lock(meanwhile, other) == 1


def test_what_is_read_is_of_one_moment_though_others_commit_meanwhile(store: Store) -> None:
    club = _club(store, "before")
    with store.read() as tx:
        assert clubs.club(tx, club).name == "before"
        with store.write() as other:
            clubs.change(other, club, name="after")
        assert clubs.club(tx, club).name == "before"
    assert _names(store) == ["after"]


def test_a_reader_does_not_wait_for_a_writer_and_sees_only_what_is_committed(
    store: Store,
) -> None:
    club = _club(store, "before")
    with store.write() as tx:
        clubs.change(tx, club, name="after")
        assert _names(store) == ["before"]
    assert _names(store) == ["after"]


def test_nothing_is_kept_that_is_written_in_a_read(store: Store) -> None:
    club = _club(store, "before")
    with store.read() as tx:
        clubs.change(tx, club, name="after")
    assert _names(store) == ["before"]


def _found_and_raise(store: Store) -> None:
    with store.write() as tx:
        clubs.found(tx, "raised", "UTC", NOW)
        raise ZeroDivisionError


def _add_twice(store: Store, club: ClubId, name: str) -> None:
    with store.write() as tx:
        clubs.add_team(tx, club, name)
        clubs.add_team(tx, club, name)


def test_nothing_is_kept_of_a_write_that_raises_or_is_rolled_back(store: Store) -> None:
    _club(store, "kept")
    with pytest.raises(ZeroDivisionError):
        _found_and_raise(store)
    with store.write() as tx:
        clubs.found(tx, "rolled back", "UTC", NOW)
        tx.rollback()
    with store.write() as tx:
        tx.rollback()
        clubs.found(tx, "begun anew", "UTC", NOW)
    assert _names(store) == ["kept", "begun anew"]


def test_a_bug_in_what_is_written_is_no_outage_and_holds_up_nobody(store: Store) -> None:
    club = _club(store)
    with pytest.raises(sa.exc.IntegrityError):
        _add_twice(store, club, "database is locked")
    with store.write() as tx:
        clubs.add_team(tx, club, "Red")
    with store.read() as tx:
        assert [ref.name for ref in clubs.teams(tx, club).values()] == ["Red"]


def test_each_connection_to_sqlite_keeps_its_promises(sqlite_store: Store) -> None:
    def pragma(tx: Tx, name: str) -> object:
        return tx.exec_driver_sql(f"PRAGMA {name}").scalar_one()

    wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000}
    with sqlite_store.read() as one, sqlite_store.read() as other, sqlite_store.write() as third:
        for tx in (one, other, third):
            assert {name: pragma(tx, name) for name in wanted} == wanted


def _file(store: Store) -> Path:
    assert store.url.database is not None
    return Path(store.url.database)


def _says(act: Callable[[], object], *words: str) -> None:
    """Expect an outage in one line for a person, without the database's own words."""
    with pytest.raises(StoreUnavailable) as outage:
        act()
    line = str(outage.value)
    assert "\n" not in line
    assert "sqlalche" not in line
    for word in words:
        assert word in line


def test_a_database_that_another_program_has_locked_says_so(
    sqlite_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "BUSY_MS", 50)
    _club(sqlite_store, "kept")
    store = _another(sqlite_store)
    other = sqlite3.connect(_file(sqlite_store), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    _says(lambda: _club(store), "locked", "close it")
    assert _names(store) == ["kept"]
    other.execute("ROLLBACK")
    other.close()
    _club(store, "later")
    assert _names(store) == ["kept", "later"]
    store.close()


def test_a_full_disk_says_so_and_leaves_nothing_half_written(sqlite_store: Store) -> None:
    club = _club(sqlite_store, "kept")
    store = _another(sqlite_store)

    @sa.event.listens_for(store.engine, "connect")
    def _small(connection: sqlite3.Connection, _: object) -> None:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count={pages}")

    def write() -> None:
        with store.write() as tx:
            clubs.change(tx, club, name="half")
            rows = [{"club_id": club, "name": f"team {n}" * 8} for n in range(2_000)]
            tx.execute(sa.insert(TEAM), rows)

    _says(write, "full", "make room")
    assert _names(store) == ["kept"]
    with store.read() as tx:
        assert clubs.teams(tx, club) == {}
    store.close()
    assert _names(sqlite_store) == ["kept"]


def test_a_full_disk_of_a_server_says_so(postgresql_store: Store) -> None:
    # The server's own words, of mdextend() in its source.
    said = 'could not extend file "base/5/1259": No space left on device'
    raising = f"DO $$ BEGIN RAISE EXCEPTION '{said}' USING ERRCODE = 'disk_full'; END $$"

    def write() -> None:
        with postgresql_store.write() as tx:
            clubs.found(tx, "half", "UTC", NOW)
            tx.exec_driver_sql(raising)

    _says(write, "full", "make room")
    assert _names(postgresql_store) == []


def test_a_database_that_cannot_be_written_to_says_so(store: Store) -> None:
    _club(store, "kept")
    if store.sqlite:
        other = Store(f"sqlite:///file:{_file(store).as_posix()}?mode=ro&uri=true")
    else:
        with psycopg.connect(_dsn(store), autocommit=True) as connection:
            name = str(store.url.database)
            connection.execute(f"ALTER DATABASE {name} SET default_transaction_read_only = on")  # type: ignore[call-overload]
        other = _another(store)
    _says(lambda: _club(other), "can't be written to", "permissions")
    assert _names(other) == ["kept"]
    other.close()


def _dsn(store: Store) -> str:
    return store.url.set(drivername="postgresql").render_as_string(hide_password=False)


def test_a_file_that_is_no_database_says_so(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_bytes(b"Kit D is on the shelf. " * 100)
    store = Store(f"sqlite:///{file.as_posix()}")
    _says(lambda: _names(store), "not a database", "check the path")
    assert file.read_bytes().startswith(b"Kit D")


def test_a_folder_that_is_not_there_says_so(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{(tmp_path / 'nowhere' / 'club.sqlite').as_posix()}")
    _says(lambda: _names(store), "can't be opened", "path")


def test_a_damaged_database_says_so(sqlite_store: Store) -> None:
    with sqlite_store.write() as tx:
        club = clubs.found(tx, "Club", "UTC", NOW)
        tx.execute(sa.insert(TEAM), [{"club_id": club, "name": f"t{n}"} for n in range(3_000)])
    sqlite_store.close()
    whole = _file(sqlite_store).read_bytes()
    page = 4096
    _file(sqlite_store).write_bytes(whole[: 4 * page] + b"\xff" * (len(whole) - 4 * page))
    _says(lambda: _club(_another(sqlite_store)), "damaged", "backup")


def test_a_server_that_is_not_there_says_so(tmp_path: Path) -> None:
    store = Store(f"postgresql://clubbot@/club?host={tmp_path.as_posix()}&port=5432")
    _says(lambda: _names(store), "doesn't answer", "runs")


def test_a_connection_that_breaks_says_so_and_the_next_one_works(postgresql_store: Store) -> None:
    def write() -> None:
        with postgresql_store.write() as tx:
            clubs.found(tx, "half", "UTC", NOW)
            number = tx.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
            with psycopg.connect(_dsn(postgresql_store)) as other:
                other.execute("SELECT pg_terminate_backend(%s, 5000)", [number])
            clubs.found(tx, "more", "UTC", NOW)

    _says(write, "doesn't answer")
    _club(postgresql_store, "next")
    assert _names(postgresql_store) == ["next"]


def test_connections_that_broke_while_nobody_used_them_are_not_noticed(
    postgresql_store: Store,
) -> None:
    _club(postgresql_store, "kept")
    with psycopg.connect(_dsn(postgresql_store), autocommit=True) as other:
        other.execute(
            "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    assert _names(postgresql_store) == ["kept"]


def test_a_copy_holds_what_was_committed_and_nothing_more(
    sqlite_store: Store, tmp_path: Path
) -> None:
    _club(sqlite_store, "committed")
    with sqlite_store.write() as tx:
        clubs.found(tx, "not yet", "UTC", NOW)
        sqlite_store.copy_to(tmp_path / "copy.sqlite")
    copy = Store(f"sqlite:///{(tmp_path / 'copy.sqlite').as_posix()}")
    assert _names(copy) == ["committed"]
    copy.close()


@pytest.mark.parametrize("scheme", ["postgresql", "postgres", "postgresql+psycopg"])
def test_a_servers_address_is_taken_as_people_write_it(
    postgresql_store: Store, scheme: str
) -> None:
    plain = postgresql_store.url.render_as_string(hide_password=False)
    store = Store(scheme + plain.removeprefix("postgresql+psycopg"))
    assert _names(store) == []
    store.close()
