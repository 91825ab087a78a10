"""An update that comes twice does nothing twice, and is answered the same."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import is_dataclass, replace
from datetime import UTC, date, datetime, timedelta
from enum import Enum
from types import UnionType
from typing import Any, Literal, NewType, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.desk import booking, handover, people, replay
from clubbot.rules import results
from clubbot.rules.model import Refused, Role, Window
from clubbot.rules.results import (
    Booked,
    Claimed,
    HandedOut,
    Invited,
    MyData,
    NotAFault,
    Removed,
    TakenBack,
    TurnedAway,
)
from clubbot.store import people as person_rows
from clubbot.store.engine import Store
from tests.desk.scene import Club, dump

_START = datetime(2000, 1, 1, tzinfo=UTC)
_instants = st.integers(0, 3 * 10**15).map(lambda micros: _START + timedelta(microseconds=micros))
_LEAVES: dict[Any, st.SearchStrategy[Any]] = {
    bool: st.booleans(),
    int: st.integers(-(2**52), 2**52),
    float: st.floats(allow_nan=False, allow_infinity=False),
    str: st.text(max_size=12),
    type(None): st.none(),
    datetime: _instants,
    date: st.dates(date(2000, 1, 1), date(2100, 1, 1)),
    Window: st.tuples(_instants, st.integers(1, 10**9)).map(
        lambda pair: Window(pair[0], pair[0] + timedelta(milliseconds=pair[1]))
    ),
}


def _values(kind: Any) -> st.SearchStrategy[Any]:
    """Make up values of a result's type, with tuples of two at most: a wide tree takes seconds."""
    if kind in _LEAVES:
        return _LEAVES[kind]
    if isinstance(kind, NewType):
        return _values(kind.__supertype__)
    inside = get_args(kind)
    if get_origin(kind) is Literal:
        return st.sampled_from(inside)
    if get_origin(kind) in (Union, UnionType):
        return st.one_of(map(_values, inside))
    if get_origin(kind) in (dict, Mapping):
        return st.dictionaries(_values(inside[0]), _values(inside[1]), max_size=2)
    if get_origin(kind) is tuple and inside[-1] is Ellipsis:
        return st.lists(_values(inside[0]), max_size=2).map(tuple)
    if get_origin(kind) is tuple:
        return st.tuples(*map(_values, inside))
    if is_dataclass(kind):
        # What holds more of its own kind ends here, or it would never end.
        fields = {
            name: st.just(()) if kind in get_args(hint) else _values(hint)
            for name, hint in get_type_hints(kind).items()
        }
        return st.builds(kind, **fields)
    assert issubclass(kind, Enum), f"say in _LEAVES what a {kind} can be"
    return st.sampled_from(kind)


RESULTS = [
    found
    for name in results.__all__
    if is_dataclass(found := getattr(results, name)) and inspect.isclass(found)
]


NOT_KEPT = {
    Invited: ("code",),
    MyData: ("content",),
    NotAFault: ("said",),
    Removed: ("name",),
    TurnedAway: ("name",),
}


@pytest.mark.parametrize("kind", RESULTS, ids=lambda kind: kind.__name__)
@settings(max_examples=5, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_kind_of_answer_comes_back_as_it_was_written(kind: type[Any], data: Any) -> None:
    result = data.draw(_values(kind))
    for name in NOT_KEPT.get(kind, ()):
        result = replace(result, **{name: ""})
    assert replay.read(replay.write(result)) == result


def test_every_class_of_results_can_be_written() -> None:
    classes = {
        found.__name__
        for module in pkgutil.iter_modules(results.__path__, f"{results.__name__}.")
        for found in vars(importlib.import_module(module.name)).values()
        if is_dataclass(found) and inspect.isclass(found)
        if found.__module__.startswith("clubbot.rules.results")
    }
    assert classes == {kind.__name__ for kind in RESULTS}


def test_a_booking_asked_for_twice_by_one_update_is_made_once_and_answered_the_same(
    club: Club,
) -> None:
    first = club.student(booking.request, "2 kits Fri 15:30-17:00")
    assert isinstance(first, Booked)
    before = dump(club.store)
    assert club.student.again() == first
    assert _but_versions(dump(club.store)) == _but_versions(before)
    assert len(club.student(booking.mine).bookings) == 1


def test_what_was_undone_meanwhile_is_not_done_again_by_a_late_repeat(club: Club) -> None:
    club.set("2026-10-02 15:30")
    given = club.helper(handover.give_out, "A for Red")
    assert isinstance(given, HandedOut)
    club.later(minutes=1)
    assert isinstance(club.leader(handover.back, "A"), TakenBack)
    club.later(hours=30)
    assert club.helper.again() == given
    assert club.out() == []


def test_a_link_made_twice_by_one_update_is_one_link(club: Club) -> None:
    made = club.leader(people.invite, Role.STUDENT)
    assert isinstance(made, Invited)
    before = dump(club.store)
    assert club.leader.again() == replace(made, code="")
    assert _but_versions(dump(club.store)) == _but_versions(before)


def test_of_an_invitations_code_nothing_but_its_hash_is_kept_anywhere(club: Club) -> None:
    made = club.leader(people.invite, Role.STUDENT)
    assert isinstance(made, Invited)
    assert made.code not in repr(dump(club.store))
    assert person_rows.fingerprint(made.code) in repr(dump(club.store))


def test_the_name_of_somebody_turned_away_is_kept_nowhere_and_a_repeat_does_without(
    club: Club,
) -> None:
    made = club.leader(people.invite, Role.STUDENT)
    club.newcomer("x")(people.start, made.code, "Zebedee")
    knock = club.leader(people.everyone).knocks[-1].id
    assert club.leader(people.turn_away, knock) == TurnedAway("Zebedee")
    assert "Zebedee" not in repr(dump(club.store))
    assert club.leader.again() == TurnedAway("")


def test_a_first_code_used_twice_by_one_update_founds_one_club(club: Club) -> None:
    with club.store.write() as tx:
        person_rows.invite(tx, None, "first", Role.LEADER, club.now + timedelta(hours=1), uses=1)
    founder = club.newcomer("Founder")
    first = founder(people.start, "first", "Founder")
    assert isinstance(first, Claimed)
    assert founder.again() == first


def test_an_update_that_was_refused_leaves_nothing_and_may_come_again(club: Club) -> None:
    before = dump(club.store)
    refused = club.student(booking.request, "9 kits Fri 15:30-17:00")
    assert isinstance(refused, Refused)
    assert club.student.again() == refused
    assert dump(club.store) == before


def test_one_update_that_two_programs_handle_at_once_is_done_once(club: Club) -> None:
    other = Store(club.store.url.render_as_string(hide_password=False))
    asking = club.student.asking()
    with ThreadPoolExecutor(6) as pool:
        jobs = [
            pool.submit(booking.request, store, asking, "1 kit Fri 15:30-17:00")
            for store in (club.store, other)
            for _ in range(3)
        ]
        answers = [job.result().value for job in jobs]
    other.close()
    assert all(isinstance(each, Booked) and each == answers[0] for each in answers)
    assert len(club.student(booking.mine).bookings) == 1


def _but_versions(dumped: Mapping[str, object]) -> dict[str, object]:
    """Leave out the club itself: a repeat takes its lock, which counts its version up."""
    return {name: rows for name, rows in dumped.items() if name != "club"}
