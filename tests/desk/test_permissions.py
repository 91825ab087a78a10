"""Each use case of the desk is open to exactly those whom the one table of permissions names."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any, NamedTuple

import pytest
import sqlalchemy as sa
from sqlmodel import SQLModel

from clubbot import desk
from clubbot.rules.model import Reason, Refused, Role, Window
from clubbot.rules.permissions import ALLOWED, Deed, may
from clubbot.store import bookings, clubs, faults, notices, people
from clubbot.store.engine import Store
from clubbot.store.notices import NewNotice
from tests.desk.scene import Club, UseCase, dump, make_club

START = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)
IN_THE_CLUB = [role for role in Role if role is not Role.STRANGER]


class Case(NamedTuple):
    """A use case as the desk's modules define it, and the deed that it is."""

    name: str
    run: UseCase
    what: Deed
    writes: bool


def _cases() -> Iterator[Case]:
    for found in pkgutil.iter_modules(desk.__path__):
        module = importlib.import_module(f"clubbot.desk.{found.name}")
        for name, function in vars(module).items():
            made_in = getattr(getattr(function, "__code__", None), "co_qualname", "")
            maker, _, rest = made_in.partition(".")
            if maker in ("deed", "look") and rest and function.__module__ == module.__name__:
                what = inspect.getclosurevars(function).nonlocals["what"]
                yield Case(f"{found.name}.{name}", function, what, maker == "deed")


CASES = sorted(_cases(), key=lambda case: case.what is Deed.LEAVE)
"""All of them; who has left can try no more, so that comes last."""


class Things(NamedTuple):
    """What the arguments of a use case can name, all of one club."""

    label: str
    team_name: str
    person_name: str
    kit: int
    team: int
    person: int
    knock: int
    notice: int
    number: int
    club: int
    fault: int


def _things(club: Club, label: str, team: str, name: str) -> Things:
    """Put one of each thing into a club, and name them."""
    spare = club.newcomer(name, Role.STUDENT, [team])
    start = club.at("2026-10-02 15:30")
    window = Window(start, start + timedelta(minutes=90))
    with club.store.write() as tx:
        kit_type = next(iter(clubs.kit_types(tx, club.id)))
        for _ in range(3):
            booking = bookings.add(
                tx,
                club.id,
                team=club.team(team),
                kit_type=kit_type,
                count=1,
                window=window,
                booked_by=spare.id,
                now=club.now,
            ).id
            fault = faults.add(
                tx,
                club.id,
                kit=club.kit(label),
                symptom="frozen",
                danger=False,
                said=f"{name} saw {label} freeze",
                reported_by=spare.id,
                now=club.now,
            ).id
        knock = people.knock(tx, club.id, 900_000 + club.id, name, Role.STUDENT, club.now)
        owed = NewNotice(
            kind="late asked",
            subject="kits",
            occurrence=club.now.isoformat(),
            person=club.leader.id,
            due_at=club.now,
            send_at=club.now,
            useful_until=club.now + timedelta(days=1),
        )
        notices.add(tx, club.id, [owed])
        notice = notices.of_kind(tx, club.id, "late asked", club.now)[0].id
        numbers = {b.number for b in bookings.by_id(tx, club.id, [booking]).values()}
        numbers &= {line.number for line in faults.still_open(tx, club.id) if line.id == fault}
    return Things(
        label,
        team,
        name,
        club.kit(label),
        club.team(team),
        spare.id,
        knock,
        notice,
        numbers.pop(),
        club.id,
        fault,
    )


def _arguments(case: Case, of: Things) -> list[Any]:
    """Make one value for each argument by its name, so that a new use case is tried as well."""
    known = {
        "text": of.label,
        "more": "Friday",
        "names": "Lanterns",
        "number": of.club if case.name == "club.choose_club" else of.number,
        "kit": of.kit,
        "kit_ids": [of.kit],
        "team": of.team,
        "notice": of.notice,
        "fault": of.fault,
        "code": "restart",
        "outcome": "same",
        "person": of.person,
        "role": Role.HELPER,
        "knock": of.knock,
        "step": "kits",
        "place": 0,
        "key": "0123456789ab",
        "fix": "glued",
        "photo": ("file", "unique", "photo"),
        "start": START,
        "end": START + timedelta(minutes=90),
        "day": START.date().isoformat(),
        "addressed": True,
        "name": of.team_name if "team" in case.name else of.person_name,
    }
    by_type = {str: of.label, int: 1, bool: True, date: START.date(), datetime: START}
    signature = inspect.signature(inspect.unwrap(case.run), eval_str=True)
    found: list[Any] = []
    for each in list(signature.parameters.values())[2:]:
        if each.name in known:
            found.append(known[each.name])
        elif each.default is inspect.Parameter.empty:
            found.append(by_type[each.annotation])
        else:
            break
    return found


def _refusal(value: object, what: Deed) -> bool:
    return (
        isinstance(value, Refused)
        and value.reason is Reason.NOT_ALLOWED
        and value.facts["deed"] == str(what)
    )


def test_the_desks_use_cases_are_all_found() -> None:
    asked_inside = {Deed.LINK_GROUP, Deed.ACT_FOR_TEAM, Deed.CANCEL_ANY}
    assert {case.what for case in CASES} >= set(Deed) - asked_inside


@pytest.mark.parametrize("role", IN_THE_CLUB)
def test_what_a_role_may_not_do_is_refused_and_changes_nothing(club: Club, role: Role) -> None:
    of = _things(club, "A", "Red", "Spare")
    before = dump(club.store)
    for case in CASES:
        if role not in ALLOWED[case.what]:
            for ask in (club.people[role], club.people[role].in_group):
                assert _refusal(ask(case.run, *_arguments(case, of)), case.what), case.name
    assert dump(club.store) == before


@pytest.mark.parametrize("role", IN_THE_CLUB)
def test_what_a_role_may_do_is_not_refused_for_want_of_permission(club: Club, role: Role) -> None:
    of = _things(club, "A", "Red", "Spare")
    tried = 0
    for case in CASES:
        if role in ALLOWED[case.what]:
            value = club.people[role](case.run, *_arguments(case, of))
            assert not _refusal(value, case.what), case.name
            tried += 1
    assert tried == sum(may(role, case.what) for case in CASES)
    assert club.audit() == []


@pytest.mark.parametrize("where", ["in private", "in the group"])
def test_a_stranger_is_told_that_they_are_in_no_club_and_changes_nothing(
    club: Club, where: str
) -> None:
    of = _things(club, "A", "Red", "Spare")
    ask = club.stranger if where == "in private" else club.stranger.in_group
    before = dump(club.store)
    for case in CASES:
        value = ask(case.run, *_arguments(case, of))
        assert isinstance(value, Refused), case.name
        assert value.reason is Reason.NO_SUCH_CLUB
    assert dump(club.store) == before


def test_a_leader_of_another_club_is_a_stranger_in_this_clubs_group(
    club: Club, other_club: Club
) -> None:
    of = _things(club, "A", "Red", "Spare")
    other_club.leader.club = club
    before = dump(club.store)
    for case in CASES:
        value = other_club.leader.in_group(case.run, *_arguments(case, of))
        assert value == Refused(Reason.NO_SUCH_CLUB), case.name
    assert dump(club.store) == before


def test_somebody_who_was_removed_is_a_stranger_again(club: Club) -> None:
    with club.store.write() as tx:
        people.change(tx, club.id, club.helper.id, left_at=club.now)
    of = _things(club, "A", "Red", "Spare")
    for case in CASES:
        value = club.helper(case.run, *_arguments(case, of))
        assert value == Refused(Reason.NO_SUCH_CLUB), case.name


def _rows_of(store: Store, club: Club) -> dict[str, list[str]]:
    with store.read() as tx:
        return {
            table.name: sorted(
                repr(row) for row in tx.execute(sa.select(table).where(table.c.club_id == club.id))
            )
            for table in SQLModel.metadata.sorted_tables
            if "club_id" in table.c
        }


@pytest.mark.parametrize("role", [Role.LEADER, Role.STUDENT])
def test_forged_ids_of_another_clubs_things_reach_nothing_of_it(store: Store, role: Role) -> None:
    mine = make_club(store, labels=["A", "B"], teams=["Red"])
    foreign = make_club(store, name="Foreign", labels=["X1", "X2"], teams=["Strangers"])
    of = _things(foreign, "X1", "Strangers", "Outsider")
    before = _rows_of(store, foreign)
    for case in CASES:
        arguments = _arguments(case, of)
        value = mine.people[role](case.run, *arguments)
        for secret in {"X1", "X2", "Strangers", "Outsider", "Foreign"} - {*map(str, arguments)}:
            assert secret not in repr(value), (case.name, value)
    assert _rows_of(store, foreign) == before


def test_what_a_person_may_do_is_looked_up_at_the_moment_they_do_it(club: Club) -> None:
    from clubbot.desk import handover
    from clubbot.desk import people as people_desk

    assert not _refusal(club.helper(handover.what_is_out), Deed.TAKE_BACK)
    club.leader(people_desk.change_role, club.helper.id, Role.STUDENT)
    assert _refusal(club.helper(handover.what_is_out), Deed.TAKE_BACK)
