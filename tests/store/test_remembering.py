"""What is remembered between transactions: never anything but what the database says now."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import ClubId, Role
from clubbot.store import clubs, kits, ledger, people
from clubbot.store.engine import Store, Tx

NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
DUBLIN = ZoneInfo("Europe/Dublin")
_numbers = itertools.count(1)


def seen(store: Store, club: ClubId) -> tuple[object, ...]:
    with store.read() as tx:
        return _everything(tx, club)


def stands(store: Store, club: ClubId) -> tuple[object, ...]:
    """Return what is so by the database, with no memory in between."""
    with store.engine.connect() as tx:
        return _everything(tx, club)


def _everything(tx: Tx, club: ClubId) -> tuple[object, ...]:
    return (
        clubs.calendar(tx, club, DUBLIN),
        dict(clubs.teams(tx, club)),
        clubs.teams_with_same_kit(tx, club),
        dict(clubs.resources(tx, club)),
        dict(clubs.kit_types(tx, club)),
        dict(kits.kits(tx, club)),
        tuple(people.people(tx, club)),
        {team: tuple(found) for team, found in people.members(tx, club).items()},
    )


def _team(tx: Tx, club: ClubId) -> None:
    clubs.add_team(tx, club, f"Team {next(_numbers)}")


def _same_kit(tx: Tx, club: ClubId) -> None:
    clubs.set_same_kit(tx, club, next(iter(clubs.teams(tx, club))), same=True)


def _member(tx: Tx, club: ClubId) -> None:
    person = people.add(tx, club, next(_numbers), "Somebody", Role.STUDENT, NOW)
    people.put_in_team(tx, club, person, next(iter(clubs.teams(tx, club))))


def _close(tx: Tx, club: ClubId) -> None:
    day = (NOW + timedelta(days=next(_numbers))).date()
    clubs.close_days(tx, club, day, day, "closed")


def _meet(tx: Tx, club: ClubId) -> None:
    clubs.add_meeting(tx, club, next(_numbers) % 7, time(15), time(16), None)


def _resource(tx: Tx, club: ClubId) -> None:
    clubs.set_resource(tx, club, "mats", next(_numbers))


def _kit(tx: Tx, club: ClubId) -> None:
    kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), [str(next(_numbers))])


def _charge(tx: Tx, club: ClubId) -> None:
    kit = next(iter(kits.kits(tx, club)))
    ledger.append(
        tx,
        club,
        [ledger.Draft(EntryKind.CHARGED, kit=kit, detail=Detail())],
        happened_at=NOW + timedelta(seconds=next(_numbers)),
        said_at=NOW,
        said_by=None,
        deed=str(next(_numbers)),
    )


def _nothing(tx: Tx, club: ClubId) -> None:
    people.wrong_codes(tx, 1, NOW)


CHANGES = (_team, _same_kit, _member, _close, _meet, _resource, _kit, _charge, _nothing)


def make(store: Store) -> ClubId:
    with store.write() as tx:
        club = clubs.found(tx, "Club", "Europe/Dublin", NOW)
        _team(tx, club)
        _kit(tx, club)
    return club


def another(store: Store) -> Store:
    """Return what a second process would use: a store of its own on the same database."""
    return Store(store.url.render_as_string(hide_password=False))


@pytest.fixture
def pair(store: Store) -> Iterator[tuple[Store, Store, ClubId]]:
    """Two bots' stores on one database."""
    club = make(store)
    other = another(store)
    yield store, other, club
    other.close()


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__.strip("_"))
def test_what_one_process_changes_another_sees_at_once(
    pair: tuple[Store, Store, ClubId], change: Callable[[Tx, ClubId], None]
) -> None:
    one, other, club = pair
    before = seen(one, club), seen(other, club)
    with one.write() as tx:
        clubs.lock(tx, club)
        change(tx, club)
    now = stands(other, club)
    assert seen(other, club) == seen(one, club) == now
    assert (now != before[0]) == (change is not _nothing)


def test_what_is_changed_without_the_clubs_lock_is_seen_too(
    pair: tuple[Store, Store, ClubId],
) -> None:
    one, other, club = pair
    seen(one, club), seen(other, club)
    with one.write() as tx:
        _team(tx, club)
    assert seen(other, club) == seen(one, club)
    with one.read() as tx:
        assert len(clubs.teams(tx, club)) == 2


def _fail_after(store: Store, club: ClubId, change: Callable[[Tx, ClubId], None]) -> None:
    with store.write() as tx:
        clubs.lock(tx, club)
        change(tx, club)
        _everything(tx, club)
        raise RuntimeError


def test_what_was_undone_is_not_remembered(pair: tuple[Store, Store, ClubId]) -> None:
    one, other, club = pair
    before = seen(one, club)
    with one.write() as tx:
        clubs.lock(tx, club)
        _team(tx, club)
        assert _everything(tx, club) != before
        tx.rollback()
        assert _everything(tx, club) == before
    with pytest.raises(RuntimeError):
        _fail_after(one, club, _kit)
    with other.write() as tx:
        clubs.lock(tx, club)
        _close(tx, club)
    assert seen(one, club) == seen(other, club) != before


def test_what_stands_is_read_once(sqlite_store: Store) -> None:
    store, club = sqlite_store, make(sqlite_store)
    seen(store, club)
    with store.write() as tx:
        clubs.lock(tx, club)
        _charge(tx, club)
    asked: list[str] = []
    sa.event.listen(
        store.engine, "before_cursor_execute", lambda *facts: asked.append(str(facts[2]))
    )
    seen(store, club)
    tables = {word for each in asked for word in each.replace("\n", " ").split() if "." not in word}
    assert {"kit", "position"} <= tables
    assert not tables & {"meeting", "closure", "team", "person", "resource"}


step = st.tuples(
    st.integers(0, 1), st.sampled_from(CHANGES), st.sampled_from(["kept", "undone", "unlocked"])
)


@given(steps=st.lists(step, max_size=8))
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_two_processes_never_see_anything_but_what_stands(store: Store, steps: list[Any]) -> None:
    club, other = make(store), another(store)
    for who, change, how in steps:
        with (store, other)[who].write() as tx:
            if how != "unlocked":
                clubs.lock(tx, club)
            _everything(tx, club)
            change(tx, club)
            inside = _everything(tx, club)
            if how == "undone":
                tx.rollback()
        now = stands(store, club)
        assert seen(store, club) == now == seen(other, club)
        assert (inside == now) or how == "undone"
    other.close()
