"""Each use case of the desk is open to exactly those whom the one table of permissions names."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

import pytest

from clubbot.rules.model import Reason, Refused, Role, Window
from clubbot.rules.permissions import ALLOWED, Deed, may
from clubbot.store import bookings, clubs, faults, notices, people
from clubbot.store.notices import NewNotice
from tests.desk.cases import CASES, Case, arguments
from tests.desk.scene import Club, dump

START = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)
IN_ORDER = sorted(CASES, key=lambda case: case.last)
IN_THE_CLUB = [role for role in Role if role is not Role.STRANGER]


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
    given = of._asdict() | {
        "text": of.label,
        "name": of.team_name if "team" in case.name else of.person_name,
        "kit_ids": [of.kit],
        "start": START,
        "end": START + timedelta(minutes=90),
    }
    return arguments(case, given)


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
    for case in IN_ORDER:
        if role not in ALLOWED[case.what]:
            for ask in (club.people[role], club.people[role].in_group):
                assert _refusal(ask(case.run, *_arguments(case, of)), case.what), case.name
    assert dump(club.store) == before


@pytest.mark.parametrize("role", IN_THE_CLUB)
def test_what_a_role_may_do_is_not_refused_for_want_of_permission(club: Club, role: Role) -> None:
    of = _things(club, "A", "Red", "Spare")
    tried = 0
    for case in IN_ORDER:
        if role in ALLOWED[case.what]:
            value = club.people[role](case.run, *_arguments(case, of))
            assert not _refusal(value, case.what), case.name
            tried += 1
    assert tried == sum(may(role, case.what) for case in IN_ORDER)
    assert club.audit() == []


@pytest.mark.parametrize("where", ["in private", "in the group"])
def test_a_stranger_is_told_that_they_are_in_no_club_and_changes_nothing(
    club: Club, where: str
) -> None:
    of = _things(club, "A", "Red", "Spare")
    ask = club.stranger if where == "in private" else club.stranger.in_group
    before = dump(club.store)
    for case in IN_ORDER:
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
    for case in IN_ORDER:
        value = other_club.leader.in_group(case.run, *_arguments(case, of))
        assert value == Refused(Reason.NO_SUCH_CLUB), case.name
    assert dump(club.store) == before


def test_somebody_who_was_removed_is_a_stranger_again(club: Club) -> None:
    with club.store.write() as tx:
        people.change(tx, club.id, club.helper.id, left_at=club.now)
    of = _things(club, "A", "Red", "Spare")
    for case in IN_ORDER:
        value = club.helper(case.run, *_arguments(case, of))
        assert value == Refused(Reason.NO_SUCH_CLUB), case.name


def test_what_a_person_may_do_is_looked_up_at_the_moment_they_do_it(club: Club) -> None:
    from clubbot.desk import handover
    from clubbot.desk import people as people_desk

    assert not _refusal(club.helper(handover.what_is_out), Deed.TAKE_BACK)
    club.leader(people_desk.change_role, club.helper.id, Role.STUDENT)
    assert _refusal(club.helper(handover.what_is_out), Deed.TAKE_BACK)
