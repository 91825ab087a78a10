"""What runs on the driver's own cursor says what SQLAlchemy would have said."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa

from clubbot.store.engine import Store
from clubbot.store.prepared import Prepared
from clubbot.store.tables import HANDLED_UPDATE

AT = datetime(2026, 10, 2, 15, 30, 0, 250_000, tzinfo=ZoneInfo("Europe/London"))
COLUMNS = ("bot_id", "update_id", "at", "result")
ADD = sa.insert(HANDLED_UPDATE)
SINCE = sa.select(HANDLED_UPDATE).where(HANDLED_UPDATE.c.at >= sa.bindparam("since")).limit(5)


def _add(store: Store, number: int, result: str | None = "x") -> None:
    with store.write() as tx:
        Prepared(ADD, COLUMNS).rows(tx, bot_id=1, update_id=number, at=AT, result=result)


def test_values_go_in_and_come_out_as_they_do_through_sqlalchemy(store: Store) -> None:
    _add(store, 1)
    _add(store, 2, None)
    with store.read() as tx:
        ours = Prepared(SINCE).rows(tx, since=AT)
        theirs = tx.execute(SINCE, {"since": AT}).all()
    assert sorted(map(tuple, ours)) == sorted(map(tuple, theirs))
    assert {row.at for row in ours} == {AT}
    assert all(row.at.tzinfo is UTC for row in ours)
    assert {row._fields for row in ours} == {tuple(HANDLED_UPDATE.c.keys())}


def test_a_statement_that_finds_nothing_gives_none(store: Store) -> None:
    with store.read() as tx:
        assert Prepared(SINCE).first(tx, since=AT + timedelta(days=1)) is None


def test_what_the_server_refuses_is_refused_alike(store: Store) -> None:
    _add(store, 1)
    with pytest.raises(sa.exc.IntegrityError):
        _add(store, 1)
    with store.read() as tx:
        assert len(tx.execute(SINCE, {"since": AT}).all()) == 1


def test_after_a_rollback_the_next_statement_begins_anew(store: Store) -> None:
    add = Prepared(ADD, COLUMNS)
    with store.write() as tx:
        add.rows(tx, bot_id=1, update_id=1, at=AT, result=None)
        tx.rollback()
        add.rows(tx, bot_id=1, update_id=2, at=AT, result=None)
    with store.read() as tx:
        assert [row.update_id for row in Prepared(SINCE).rows(tx, since=AT)] == [2]


def test_many_rows_go_in_at_once_or_not_at_all(store: Store) -> None:
    add = Prepared(ADD, COLUMNS)
    some = [{"bot_id": 1, "update_id": each, "at": AT, "result": "x"} for each in (1, 2, 3)]
    with store.write() as tx:
        add.many(tx, some)
        add.many(tx, [])
    with pytest.raises(sa.exc.IntegrityError), store.write() as tx:
        add.many(tx, [{**some[0], "update_id": 4}, some[1]])
    with store.read() as tx:
        assert [row.update_id for row in Prepared(SINCE).rows(tx, since=AT)] == [1, 2, 3]
