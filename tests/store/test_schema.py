"""The schema comes up to date without losing a row, and leaves a newer program's alone."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlmodel import SQLModel

from clubbot.store import schema, tables
from clubbot.store.engine import Store, StoreUnavailable

NOW = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)
TABLES = SQLModel.metadata.sorted_tables
_OWNERLESS = {"club", "code_try", "inbox", "handled_update", "dialogue", "bot", "last_buttons"}
"""What belongs to no club: the club itself, and what is known before a club is."""


@pytest.fixture
def empty(database_url: str) -> Iterator[Store]:
    """A store without tables."""
    made = Store(database_url)
    yield made
    made.close()


def test_the_migrations_make_what_the_models_describe(empty: Store) -> None:
    schema.upgrade(empty)
    with empty.read() as tx:
        context = MigrationContext.configure(tx, opts={"compare_type": True})
        assert compare_metadata(context, SQLModel.metadata) == []


def test_an_upgrade_says_from_where_to_where_it_went_and_does_nothing_twice(empty: Store) -> None:
    before, head = schema.upgrade(empty)
    assert before is None
    assert schema.upgrade(empty) == (head, head)


def test_a_migration_is_named_by_its_revision_and_the_last_name_is_the_newest() -> None:
    config = Config()
    config.set_main_option("script_location", str(schema.migrations()))
    scripts = ScriptDirectory.from_config(config)
    names = sorted(file.stem for file in (schema.migrations() / "versions").glob("*.py"))
    in_order = [script.revision for script in scripts.walk_revisions()][::-1]
    assert [name.partition("_")[0] for name in names] == in_order


def _checked_words(table: Any) -> dict[str, str]:
    """Return the first word that each checked column of a table may hold."""
    checks = (str(c.sqltext) for c in table.constraints if isinstance(c, sa.CheckConstraint))
    found = (re.match(r"(\w+) IN \('([^']*)'", check) for check in checks)
    return {match[1]: match[2] for match in found if match}


def _value(column: sa.Column[Any], row: int) -> Any:
    """Make up a value that the column takes; words that are checked come from the checks."""
    kind = column.type
    if isinstance(kind, sa.JSON):
        return {"row": row}
    made_up: dict[type, Any] = {
        bool: False,
        int: row,
        bytes: b"\x00",
        str: f"{column.name} {row}"[: getattr(kind, "length", None) or 20],
        datetime: NOW + timedelta(hours=row),
        date: NOW.date(),
        time: time(9 + row),
    }
    if column.name in (words := _checked_words(column.table)):
        return words[column.name]
    value = made_up[getattr(kind, "impl_instance", kind).python_type]
    if column.name == "ends":
        return time(13 + row) if isinstance(value, time) else value + timedelta(days=1)
    return value


def fill(store: Store, rows: int = 2) -> None:
    """Put rows into every table, parents first, each pointing to its own row of the parent."""
    with store.write() as tx:
        for table in TABLES:
            for row in range(1, rows + 1):
                values = {c.name: _value(c, row) for c in table.columns}
                if "cancels" in values:
                    values["cancels"] = None if row == 1 else 1
                for key in table.foreign_keys:
                    if key.parent.name not in ("club_id", "cancels"):
                        values[key.parent.name] = row
                if "club_id" in values:
                    values["club_id"] = 1
                tx.execute(sa.insert(table).values(values))


def count(store: Store) -> dict[str, int]:
    """Count the rows of every table."""
    with store.read() as tx:
        return {
            table.name: tx.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
            for table in TABLES
        }


_REBUILD = '''"""Give every parent one more column, and build the tables anew as SQLite must."""
import sqlalchemy as sa
from alembic import op

revision = "{revision}"
down_revision = "{before}"
branch_labels = None
depends_on = None


def upgrade() -> None:
    anew = "always" if op.get_bind().dialect.name == "sqlite" else "never"
    for table in {parents!r}:
        with op.batch_alter_table(table, recreate=anew) as batch:
            batch.add_column(sa.Column("tried", sa.Integer(), nullable=True))
    {more}
'''


def _head(store: Store) -> str:
    with store.read() as tx:
        found = MigrationContext.configure(tx).get_current_revision()
    assert found is not None
    return found


def _one_more_migration(
    monkeypatch: pytest.MonkeyPatch,
    folder: Path,
    before: str,
    parents: Sequence[str] = ("club", "kit"),
    more: str = "pass",
) -> str:
    """Let the program have one more migration, which rebuilds tables that others point to."""
    theirs = folder / "migrations"
    shutil.copytree(schema.migrations(), theirs, ignore=shutil.ignore_patterns("__pycache__"))
    (theirs / "versions" / "tried.py").write_text(
        _REBUILD.format(revision="tried", before=before, parents=parents, more=more)
    )
    monkeypatch.setattr(schema, "migrations", lambda: theirs)
    return "tried"


def test_a_change_of_the_schema_loses_no_row_of_any_table(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store)
    before = count(store)
    assert set(before.values()) == {2}
    head = _head(store)
    parents = sorted({key.column.table.name for table in TABLES for key in table.foreign_keys})
    revision = _one_more_migration(monkeypatch, tmp_path, head, parents)
    assert schema.upgrade(store) == (head, revision)
    assert count(store) == before
    if store.sqlite:
        with store.read() as tx:
            assert tx.exec_driver_sql("PRAGMA foreign_key_check").all() == []
            assert tx.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


def test_a_migration_that_fails_in_its_middle_changes_nothing(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store)
    before, head = count(store), _head(store)
    _one_more_migration(monkeypatch, tmp_path, head, more='op.execute("DELETE FROM nowhere")')
    with pytest.raises(sa.exc.DBAPIError):
        schema.upgrade(store)
    assert _head(store) == head
    assert count(store) == before
    with store.read() as tx:
        assert "tried" not in {c["name"] for c in sa.inspect(tx).get_columns("club")}


def test_a_migration_that_would_leave_orphans_on_sqlite_is_taken_back(
    sqlite_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(sqlite_store)
    before, head = count(sqlite_store), _head(sqlite_store)
    _one_more_migration(monkeypatch, tmp_path, head, more='op.execute("DELETE FROM kit")')
    with pytest.raises(RuntimeError, match="orphan"):
        schema.upgrade(sqlite_store)
    assert count(sqlite_store) == before
    assert _head(sqlite_store) == head


def test_a_database_newer_than_the_program_is_refused_in_one_line_and_left_alone(
    store: Store,
) -> None:
    head = _head(store)
    with store.write() as tx:
        tx.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StoreUnavailable) as refused:
        schema.upgrade(store)
    line = str(refused.value)
    assert "\n" not in line
    assert "9999" in line
    assert head in line
    assert "newer" in line
    assert _head(store) == "9999"


def _copies(store: Store) -> list[Path]:
    assert store.url.database is not None
    return sorted(Path(store.url.database).parent.glob("*.before-*"))


def test_a_copy_of_the_file_is_kept_before_its_schema_changes(
    sqlite_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(sqlite_store)
    head = _head(sqlite_store)
    schema.upgrade(sqlite_store)
    assert _copies(sqlite_store) == []
    before = count(sqlite_store)
    _one_more_migration(monkeypatch, tmp_path / "newer", head)
    schema.upgrade(sqlite_store)
    (copy,) = _copies(sqlite_store)
    assert head in copy.name
    kept = Store(f"sqlite:///{copy.as_posix()}")
    assert _head(kept) == head
    assert count(kept) == before
    kept.close()


def test_the_copy_is_of_what_stands_now_whatever_an_earlier_upgrade_left(
    sqlite_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = _head(sqlite_store)
    assert sqlite_store.url.database is not None
    stale = Path(sqlite_store.url.database).with_suffix(f".before-{head}")
    stale.write_bytes(b"half of a copy")
    fill(sqlite_store)
    before = count(sqlite_store)
    _one_more_migration(monkeypatch, tmp_path / "newer", head)
    schema.upgrade(sqlite_store)
    kept = Store(f"sqlite:///{stale.as_posix()}")
    assert count(kept) == before
    kept.close()


_UPGRADE = """
import sys
from clubbot.store.engine import Store
from clubbot.store import schema
import alembic.command
print("ready", flush=True)
sys.stdin.readline()
before, after = schema.upgrade(Store(sys.argv[1]))
print(before, after)
"""


def test_two_programs_that_upgrade_at_once_take_turns(empty: Store, database_url: str) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _UPGRADE, database_url],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as other:
        assert other.stdin is not None
        assert other.stdout is not None
        assert other.stdout.readline() == "ready\n"
        other.stdin.write("\n")
        other.stdin.flush()
        mine = [str(each) for each in schema.upgrade(empty)]
        theirs = other.stdout.readline().split()
    assert other.returncode == 0
    head = _head(empty)
    assert sorted([mine, theirs]) == sorted([["None", head], [head, head]])


KEYS = [
    constraint
    for table in TABLES
    for constraint in sorted(table.foreign_key_constraints, key=lambda each: str(each.name))
    if constraint.referred_table.name != "club"
]


def test_every_table_of_a_clubs_things_carries_the_club() -> None:
    for table in TABLES:
        assert ("club_id" in table.columns) == (table.name not in _OWNERLESS), table.name


@pytest.mark.parametrize("key", KEYS, ids=lambda key: str(key.name))
def test_every_pointer_to_another_row_names_the_club_on_both_sides(
    key: sa.ForeignKeyConstraint,
) -> None:
    pairs = {(each.parent.name, each.column.name) for each in key.elements}
    assert ("club_id", "club_id") in pairs
    assert len(pairs) == 2


def test_every_column_that_names_another_row_is_held_to_it() -> None:
    held = {each.parent for key in KEYS for each in key.elements}
    held |= {key.parent for table in TABLES for key in table.foreign_keys}
    free = {
        f"{table.name}.{column.name}"
        for table in TABLES
        for column in table.columns
        if column.name.endswith("_id") and column not in held
    }
    platforms_own = {"telegram_id", "chat_id", "message_id", "file_id", "bot_id", "update_id"}
    platforms_own |= {"file_unique_id", "still_id"}
    cache = {name for name in free if name.startswith("position.")}
    assert {name for name in free - cache if name.partition(".")[2] not in platforms_own} == set()


@pytest.mark.parametrize("key", KEYS, ids=lambda key: str(key.name))
def test_a_row_of_one_club_cannot_point_into_another(
    sqlite_store_filled: Store, key: sa.ForeignKeyConstraint
) -> None:
    _points_elsewhere(sqlite_store_filled, key)


def test_on_postgresql_too_a_row_of_one_club_cannot_point_into_another(
    postgresql_store: Store,
) -> None:
    fill(postgresql_store)
    _second_club(postgresql_store)
    for key in KEYS:
        _points_elsewhere(postgresql_store, key)


@pytest.fixture(scope="module")
def sqlite_store_filled(
    migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Store]:
    """A store with rows in every table, and a second club with none of its own."""
    file = tmp_path_factory.mktemp("filled") / "club.sqlite"
    shutil.copyfile(migrated_sqlite, file)
    store = Store(f"sqlite:///{file.as_posix()}")
    fill(store)
    _second_club(store)
    yield store
    store.close()


def _second_club(store: Store) -> None:
    """Give the second club a row in each table that others point to, and nothing else."""
    parents = {key.referred_table.name for key in KEYS}
    with store.write() as tx:
        for table in TABLES:
            if table.name not in parents:
                continue
            values = {c.name: _value(c, 3) for c in table.columns} | {"club_id": 2}
            if "cancels" in values:
                values["cancels"] = None
            for each in table.foreign_keys:
                if each.parent.name not in ("club_id", "cancels"):
                    values[each.parent.name] = 3
            tx.execute(sa.insert(table).values(values))


def _points_elsewhere(store: Store, key: sa.ForeignKeyConstraint) -> None:
    (column,) = [each.parent for each in key.elements if each.parent.name != "club_id"]
    table = column.table
    change = sa.update(table).where(table.c.club_id == 1).values({column.name: 3})
    if table.name == "entry":
        change = change.where(table.c.seq == 2)
    elif "id" in table.c:
        first = sa.select(sa.func.min(table.c.id)).where(table.c.club_id == 1)
        change = change.where(table.c.id == first.scalar_subquery())
    elif column.primary_key:
        change = change.where(column == 1)
    with pytest.raises(sa.exc.IntegrityError, match=r"(?i)foreign key"), store.write() as tx:
        tx.execute(change)


def test_the_tables_have_names_for_all_their_constraints() -> None:
    for table in TABLES:
        for constraint in table.constraints:
            assert constraint.name, (table.name, constraint)
    assert tables.CLUB.primary_key.name == "pk_club"


def test_copies_made_before_an_upgrade_or_a_restore_go_after_their_time(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path}/club.db")
    now = datetime(2026, 10, 15, 12, tzinfo=UTC)
    for name, age in (
        ("club.before-0001", 61),
        ("club.db.before-restore-20260801T120000Z", 61),
        ("club.before-0002", 59),
        ("other.before-0001", 61),
    ):
        (tmp_path / name).write_bytes(b"")
        made = (now - timedelta(days=age)).timestamp()
        os.utime(tmp_path / name, (made, made))
    schema.drop_copies(store, now - timedelta(days=60))
    store.close()
    left = {path.name for path in tmp_path.iterdir()} - {"club.db"}
    assert left == {"club.before-0002", "other.before-0001"}
