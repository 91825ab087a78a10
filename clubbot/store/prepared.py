"""Statements that every message needs, made ready once and run on the driver's own cursor.

SQLAlchemy spends more time around such a short statement than SQLite spends in it. The statement
is still written with SQLAlchemy, and its types still turn values into what the server keeps and
back; only what is the same each time is done once.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Dialect

from clubbot.store import remembering

_Turn = Callable[[Any], Any] | None


class _Ready(NamedTuple):
    """A statement as one server wants it."""

    text: str
    constants: Mapping[str, Any]
    order: tuple[str, ...] | None
    """The names of the values in their order, for servers that know no names."""
    to_server: tuple[tuple[str, Callable[[Any], Any]], ...]
    from_server: tuple[tuple[int, Callable[[Any], Any]], ...]
    row: Callable[[Any], Any]


class Prepared:
    """One statement. `columns` are those that an insert sets besides its own values."""

    def __init__(self, statement: Any, columns: tuple[str, ...] = ()) -> None:
        self._statement = statement
        self._columns = columns
        self._written = None if isinstance(statement, sa.Select) else statement.table.name
        self._ready: dict[str, _Ready] = {}

    def rows(self, tx: Connection, **values: Any) -> list[Any]:
        """Return the rows, as named tuples. Every value must be given; raises as `execute` does."""
        ready = self._for(tx.dialect)
        found = self._run(tx, ready, self._given(ready, values))
        if not ready.from_server:
            return [ready.row(each) for each in found]
        return [self._turned(ready, each) for each in found]

    def many(self, tx: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        """Write all of these rows at once; raises as `execute` does."""
        if rows:
            ready = self._for(tx.dialect)
            self._run(tx, ready, [self._given(ready, values) for values in rows], many=True)

    def _given(self, ready: _Ready, given: Mapping[str, Any]) -> Any:
        values = {**ready.constants, **given}
        for name, turn in ready.to_server:
            values[name] = turn(values[name])
        return values if ready.order is None else [values[name] for name in ready.order]

    def _run(self, tx: Connection, ready: _Ready, given: Any, *, many: bool = False) -> list[Any]:
        if self._written is not None:
            remembering.wrote(tx, self._written)
        if not tx.in_transaction():
            tx.begin()
        try:
            with closing(tx.connection.cursor()) as cursor:
                (cursor.executemany if many else cursor.execute)(ready.text, given)
                return list(cursor.fetchall()) if cursor.description else []
        except tx.dialect.loaded_dbapi.Error as error:
            base = tx.dialect.loaded_dbapi.Error
            raise sa.exc.DBAPIError.instance(
                ready.text, given, error, base, dialect=tx.dialect
            ) from error

    def first(self, tx: Connection, **values: Any) -> Any:
        """Return the first row, or None where there is none."""
        found = self.rows(tx, **values)
        return found[0] if found else None

    @staticmethod
    def _turned(ready: _Ready, row: Any) -> Any:
        values = list(row)
        for place, turn in ready.from_server:
            values[place] = turn(values[place])
        return ready.row(values)

    def _for(self, dialect: Dialect) -> _Ready:
        ready = self._ready.get(dialect.name)
        if ready is None:
            self._ready[dialect.name] = ready = self._make(dialect)
        return ready

    def _make(self, dialect: Dialect) -> _Ready:
        keys = list(self._columns) or None
        compiled: Any = self._statement.compile(dialect=dialect, column_keys=keys)
        returned = getattr(self._statement, "selected_columns", None)
        if returned is None:
            returned = self._statement.exported_columns
        to_server = (
            (name, _processor(bound.type, dialect, "bind_processor"))
            for name, bound in compiled.binds.items()
        )
        from_server = (
            (place, _processor(column.type, dialect, "result_processor", None))
            for place, column in enumerate(returned)
        )
        names = [column.key for column in returned]
        shape: Any = namedtuple("Row", names) if names else None
        return _Ready(
            text=compiled.string,
            constants={
                name: bound.value for name, bound in compiled.binds.items() if not bound.required
            },
            order=tuple(compiled.positiontup) if compiled.positional else None,
            to_server=tuple((name, turn) for name, turn in to_server if turn is not None),
            from_server=tuple((place, turn) for place, turn in from_server if turn is not None),
            row=tuple if shape is None else shape._make,
        )


def _processor(kind: Any, dialect: Dialect, which: str, *more: Any) -> _Turn:
    found: _Turn = getattr(kind.dialect_impl(dialect), which)(dialect, *more)
    return found
