"""What was read of a club lately, kept in the process from one transaction to the next.

Meeting times, teams, kits and where they stand are needed for every answer and change seldom. They
are kept with the version of the club that they were read at. Every writer raises the version, so
what another process has changed is read afresh; and what a transaction hasn't written to is as true
after it as before, and is kept on under the new version.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar, cast

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from clubbot.rules.model import ClubId
from clubbot.store.tables import CLUB

T = TypeVar("T")

_HERE = "clubbot_recall"
_watched: set[str] = set()
_VERSION = sa.select(CLUB.c.version).where(CLUB.c.id == sa.bindparam("club"))


class _Kept(NamedTuple):
    tables: frozenset[str]
    value: object


class _Known(NamedTuple):
    version: int
    values: dict[str, _Kept]


class Memory:
    """What is remembered of every club; one for each store."""

    def __init__(self) -> None:
        self._known: dict[int, _Known] = {}

    def of(self, club: int, version: int) -> dict[str, _Kept]:
        """Return what is known of a club at a version, to read and to add to."""
        known = self._known.get(club)
        if known is not None and known.version == version:
            return known.values
        fresh: dict[str, _Kept] = {}
        if known is None or known.version < version:
            self._known[club] = _Known(version, fresh)
        return fresh

    def carry(self, club: int, before: int, after: int, written: set[str]) -> None:
        """Keep what was known before a commit for the version after it, but for these tables."""
        known = self._known.get(club)
        if known is not None and known.version == before:
            still = {
                name: kept for name, kept in known.values.items() if written.isdisjoint(kept.tables)
            }
            self._known[club] = _Known(after, still)


@dataclass(slots=True)
class Recall:
    """One transaction's use of the memory.

    `base` has the committed versions that it builds on, `raised` those that its commit will make.
    """

    memory: Memory
    writes: bool
    base: dict[int, int] = field(default_factory=dict)
    raised: dict[int, int] = field(default_factory=dict)
    written: set[str] = field(default_factory=set)
    rolled_back: bool = False

    def known(self, tx: Connection, club: int, tables: frozenset[str]) -> dict[str, _Kept] | None:
        """Return what may be used, and added to, of what is read from these tables."""
        if self.rolled_back or not self.written.isdisjoint(tables):
            return None
        if self.writes and club not in self.raised:
            return None
        if club not in self.base:
            self.base[club] = tx.execute(_VERSION, {"club": club}).scalar_one()
        return self.memory.of(club, self.base[club])

    def before_commit(self, tx: Connection) -> None:
        """Raise the version of every club where one was changed without its lock."""
        if not self.raised and not self.written.isdisjoint(_watched):
            tx.execute(sa.update(CLUB).values(version=CLUB.c.version + 1))

    def committed(self) -> None:
        for club, version in self.raised.items():
            self.memory.carry(club, self.base[club], version, self.written)


def begin(tx: Connection, memory: Memory, *, writes: bool) -> Recall:
    """Let a transaction that has just been opened remember."""
    recall = Recall(memory, writes)
    tx.execution_options(**{_HERE: recall})
    return recall


def _recall(tx: Connection) -> Recall | None:
    found: Recall | None = tx.get_execution_options().get(_HERE)
    return found


def saw(tx: Connection, club: ClubId, version: int) -> None:
    """Note the version of a club that this transaction reads."""
    recall = _recall(tx)
    if recall is not None:
        recall.base.setdefault(club, version)


def raised(tx: Connection, club: ClubId, version: int) -> None:
    """Note that this transaction holds a club's lock and has raised the version to this."""
    recall = _recall(tx)
    if recall is not None and not recall.rolled_back:
        if club not in recall.raised:
            recall.base[club] = version - 1
        recall.raised[club] = version


def wrote(tx: Connection, table: str) -> None:
    """Note that this transaction writes to a table."""
    if (recall := _recall(tx)) is not None:
        recall.written.add(table)


def remembered(
    *tables: sa.Table,
) -> Callable[[Callable[..., T]], Callable[[Connection, ClubId], T]]:
    """Make a query of (tx, club) answer from memory as long as none of these tables changed.

    They must be all that it reads, and its answer must not be changed by whoever gets it.
    """
    names = frozenset(table.name for table in tables)
    _watched.update(names)

    def wrap(load: Callable[..., T]) -> Callable[[Connection, ClubId], T]:
        name = f"{load.__module__}.{load.__qualname__}"

        @functools.wraps(load)
        def recalled(tx: Connection, club: ClubId) -> T:
            recall = _recall(tx)
            known = recall.known(tx, club, names) if recall is not None else None
            if known is None:
                return load(tx, club)
            if name not in known:
                known[name] = _Kept(names, load(tx, club))
            return cast(T, known[name].value)

        return recalled

    return wrap


def watch(engine: Engine) -> None:
    """Note what every transaction of this engine writes to, and whether it is undone."""

    @sa.event.listens_for(engine, "before_cursor_execute")
    def _on_execute(tx: Connection, *facts: Any) -> None:
        context = facts[3]
        writes = context is not None and (context.isinsert or context.isupdate or context.isdelete)
        if writes:
            wrote(tx, context.compiled.statement.table.name)

    @sa.event.listens_for(engine, "rollback")
    def _on_rollback(tx: Connection) -> None:
        if (recall := _recall(tx)) is not None:
            recall.rolled_back = True
            recall.raised.clear()
            recall.written.clear()
