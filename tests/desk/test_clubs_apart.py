"""One bot, many clubs: nothing of one is ever seen or changed by somebody of another."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from clubbot.desk import sending
from clubbot.rules.model import Role
from clubbot.store.engine import Store
from clubbot.store.tables import CLUB, NOTICE
from tests.desk.cases import CASES, OPEN, Case, arguments
from tests.desk.planted import NUMBER, TABLES, WHEN, Planted, plant
from tests.desk.scene import make_club

ROLES = [Role.LEADER, Role.HELPER, Role.STUDENT, Role.DOOR]
OWN = st.integers(1, 4)


def rows_of(store: Store, club: int) -> dict[str, list[str]]:
    """Return all that is stored of a club, but for the version that every writer raises."""
    with store.read() as tx:
        found = {
            table.name: sorted(
                repr(row) for row in tx.execute(sa.select(table).where(table.c.club_id == club))
            )
            for table in TABLES
        }
        kept = sa.select(*(c for c in CLUB.c if c.name != "version")).where(CLUB.c.id == club)
        return found | {"club": [repr(row) for row in tx.execute(kept)]}


class Pair:
    """A club at work and the other one, whose every word is known."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.mine = make_club(store, labels="ABCD", teams=["Red", "Blue"])
        self.other = make_club(store, name="Other", labels=["Z1"], teams=["Faraway"])
        self.planted: Planted = plant(store, self.other)
        self.before = rows_of(store, self.other.id)

    def ask(self, case: Case, role: Role, given_: dict[str, Any], *, group: bool) -> None:
        """Let somebody of the first club ask, and look for anything that got across."""
        who = self.mine.people[role]
        ask = who.in_group if group else who
        said = arguments(case, given_)
        value = ask(case.run, *said)
        named = {word for word in self.planted.texts.values() if word in repr(said)}
        assert self.planted.seen_in(value, named) == set(), (case.name, value)

    def changed(self) -> list[str]:
        """Return the tables in which the other club's rows differ from before."""
        after = rows_of(self.store, self.other.id)
        return [name for name, rows in self.before.items() if rows != after[name]]

    def told(self) -> list[object]:
        """Return what all notices of the first club would say now."""
        parts: list[object] = []
        with self.store.read() as tx:
            mine = sa.select(NOTICE.c.facts).where(NOTICE.c.club_id == self.mine.id)
            parts += [dict(facts) for facts in tx.execute(mine).scalars()]
        later = self.mine.now + timedelta(days=7)
        while owed := sending.lease(self.store, later, later):
            for each in owed:
                if each.club == self.mine.id:
                    parts.append(sending.message(self.store, each, self.mine.now))
                sending.drop(self.store, each)
        self.before = rows_of(self.store, self.other.id)
        return parts


@pytest.fixture
def pair(sqlite_store: Store) -> Pair:
    return Pair(sqlite_store)


def named_as(planted: Planted, number: int, text: str) -> dict[str, Any]:
    """Return what arguments by their names may be: one number for all, one text for all."""
    return {
        "number": number,
        "text": text,
        "name": text,
        "club": planted.club,
        "start": WHEN,
        "end": WHEN + timedelta(minutes=90),
    }


@pytest.mark.parametrize("role", [Role.LEADER, Role.STUDENT])
def test_no_use_case_reaches_anything_of_another_club_by_its_number_or_name(
    pair: Pair, role: Role
) -> None:
    planted = pair.planted
    for case in sorted(CASES, key=lambda each: each.last):
        for text in (planted.label, planted.team, planted.person, f"fault {NUMBER}"):
            given_ = named_as(planted, NUMBER, text)
            pair.ask(case, role, given_, group=text == planted.team)
    assert pair.changed() == []
    assert pair.planted.seen_in(pair.told(), _said(planted)) == set()


def _said(planted: Planted) -> set[str]:
    return {planted.label, planted.team, planted.person}


STEPS = st.tuples(
    st.sampled_from([case for case in CASES if not case.last]),
    st.sampled_from(ROLES),
    st.sampled_from(
        ["2 kits Fri 15:30-17:00", "A", "B Blue", "A: the arm is bent", "Red", "all back", ""]
    ),
    st.booleans(),
    st.booleans(),
)


def test_however_a_club_works_nothing_of_another_comes_into_it(pair: Pair) -> None:
    """Whatever is done in whatever order, and whichever numbers are mixed in."""

    @settings(
        max_examples=15,
        phases=[Phase.generate],
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )
    @given(st.lists(STEPS, min_size=6, max_size=20), OWN)
    def worked(steps: list[tuple[Case, Role, str, bool, bool]], own: int) -> None:
        for case, role, text, foreign, group in steps:
            number = NUMBER if foreign else own
            pair.ask(case, role, named_as(pair.planted, number, text), group=group)
            pair.mine.later(minutes=7)
        assert pair.changed() == []
        assert pair.planted.seen_in(pair.told()) == set()

    worked()


def test_what_asks_by_itself_who_somebody_is_keeps_clubs_apart_too(pair: Pair) -> None:
    """The use cases that strangers may call: opening the chat, a group's link, danger."""
    planted, leader = pair.planted, pair.mine.leader
    for function, args in OPEN:
        said = [planted.label if each == "text" else each for each in args]
        for group in (None, pair.mine.group):
            answer = function(pair.store, leader.asking(group), *said)
            value = getattr(answer, "value", answer)
            assert planted.seen_in(value, {planted.label}) == set(), function.__name__
    assert pair.changed() == []


def test_what_is_planted_covers_every_text_of_every_table(pair: Pair) -> None:
    assert len(pair.planted.texts) > 30
    assert len(set(pair.planted.texts.values())) == len(pair.planted.texts)
    shown = repr(pair.before)
    stored = {word for word in pair.planted.texts.values() if word in shown}
    assert stored == set(pair.planted.texts.values())


def test_every_use_case_is_tried(pair: Pair) -> None:
    assert len(CASES) > 90
    for case in CASES:
        made = arguments(case, named_as(pair.planted, 1, "A"))
        assert all(not isinstance(each, date) or isinstance(each, datetime) for each in made) or (
            case.name
        )
