"""Another club whose every row has one known number and whose every text is a word of its own.

Whatever of it is seen or changed by somebody of a first club has got across.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, time, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlmodel import SQLModel

from clubbot.rules.ledger import EntryKind
from clubbot.store.engine import Store
from clubbot.store.tables import BOOKING, CLUB, ENTRY, KIT, PERSON, TEAM
from tests.desk.scene import Club

NUMBER = 70_001
"""The id, and the number that people read, of everything that the other club has."""
WHEN = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)
TABLES = [table for table in SQLModel.metadata.sorted_tables if "club_id" in table.c]


class Planted(NamedTuple):
    """The other club's words: `texts` by (table, column), and those that people can name."""

    club: int
    texts: dict[tuple[str, str], str]

    @property
    def label(self) -> str:
        return self.texts["kit", "label"]

    @property
    def team(self) -> str:
        return self.texts["team", "name"]

    @property
    def person(self) -> str:
        return self.texts["person", "name"]

    def seen_in(self, shown: object, but: set[str] = frozenset()) -> set[str]:  # type: ignore[assignment]
        """Return which of the words stand in something, those left out that were said to it."""
        text = repr(shown)
        return {word for word in self.texts.values() if word in text} - but


def _checked(table: sa.Table) -> dict[str, str]:
    """Return the first word that each checked column may hold."""
    checks = (str(c.sqltext) for c in table.constraints if isinstance(c, sa.CheckConstraint))
    found = (re.match(r"(\w+) IN \('([^']*)'", check) for check in checks)
    return {match[1]: match[2] for match in found if match}


def _word(table: str, column: str, longest: int, count: int) -> str:
    word = f"Q{count:03}{table[:3]}{column[:3]}zq"
    return word[: longest or len(word)]


def plant(store: Store, other: Club) -> Planted:
    """Put one row into every table for the other club, each pointing to the others."""
    texts: dict[tuple[str, str], str] = {}
    with store.write() as tx:
        name = texts["club", "name"] = "Q000clunamzq"
        settings = {
            each: texts.setdefault(("settings", each), f"Q0{place:02}set{each[:3]}zq")
            for place, each in enumerate(("contact", "hand_in", "keys_at", "runs_on"), 50)
        }
        tx.execute(
            sa.update(CLUB).where(CLUB.c.id == other.id).values(name=name, settings=settings)
        )
        for table in TABLES:
            values = {column.name: _value(column, texts) for column in table.columns}
            for key in table.foreign_keys:
                if key.parent.name != "club_id":
                    values[key.parent.name] = NUMBER
            values["club_id"] = other.id
            _made_sound(table, values)
            tx.execute(sa.insert(table).values(values))
    return Planted(other.id, texts)


def _value(column: sa.Column[Any], texts: dict[tuple[str, str], str]) -> Any:
    kind, table = column.type, column.table.name
    if isinstance(kind, sa.JSON):
        return None if column.nullable else {}
    if column.name in (words := _checked(column.table)):
        return words[column.name]
    if column is ENTRY.c.kind:
        return EntryKind.CHARGED.value
    made: dict[type, Any] = {
        bool: False,
        int: NUMBER if column.name in ("id", "number") or column.primary_key else 1,
        bytes: b"planted",
        datetime: WHEN,
        type(WHEN.date()): WHEN.date(),
        time: time(9),
    }
    of = getattr(kind, "impl_instance", kind).python_type
    if of is str:
        longest = getattr(kind, "length", None) or 0
        if 0 < longest < 12:
            return "x"
        word = _word(table, column.name, longest, len(texts))
        return texts.setdefault((table, column.name), word)
    if column.name in ("ends", "ends_at"):
        return time(13) if of is time else WHEN + timedelta(minutes=90)
    return made[of]


def _made_sound(table: sa.Table, values: dict[str, Any]) -> None:
    """Mend what a made-up row could not be in any club."""
    if table is PERSON:
        values |= {"telegram_id": 990_000_001, "left_at": None, "unreachable_since": None}
    elif table is TEAM:
        values["removed_at"] = None
    elif table is KIT:
        values["place_id"] = None
    elif table is ENTRY:
        values |= {"cancels": None, "seq": NUMBER}
    elif table is BOOKING:
        values |= {"cancelled_at": None, "ended_at": None, "offered_until": None}
