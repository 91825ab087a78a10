"""What people are promised, refused and offered, one situation each."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest

from clubbot.rules.availability import (
    Battery,
    Change,
    Demand,
    Fleet,
    FleetKit,
    Impossible,
    Limit,
    OfferKind,
    Possible,
    Undecided,
    alternatives,
    decide,
    free_now,
    replan,
)
from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId
from tests.rules.availability_clubs import BUILD, DAY, MAT, booking, fleet_of, hours

A, B, C, D = (KitId(number) for number in range(1, 5))
RED, BLUE = TeamId(1), TeamId(2)
ASKED = BookingId(9)


def given_to(answer: object, number: int) -> tuple[KitId, ...]:
    assert isinstance(answer, Possible)
    return answer.assignment[BookingId(number)]


def limit_of(answer: object) -> tuple[Limit, int]:
    assert isinstance(answer, Impossible)
    return answer.limit, answer.possible


def test_four_kits_are_refused_when_three_are_free_and_the_three_are_named() -> None:
    fleet = fleet_of(12)
    demands = [booking(number, hours(7, 9)) for number in range(1, 6)]
    demands.append(booking(6, hours(8, 10), 4))
    assert limit_of(decide(fleet, demands, booking(9, hours(7.5, 9), 4))) == (Limit.KITS, 3)
    assert len(given_to(decide(fleet, demands, booking(9, hours(7.5, 9), 3)), 9)) == 3


def test_a_booking_may_start_the_moment_another_ends() -> None:
    demands = [booking(1, hours(0, 2))]
    assert given_to(decide(fleet_of(1), demands, booking(9, hours(2, 3))), 9) == (A,)


def test_teams_are_kept_apart_by_the_gap_but_a_team_may_go_straight_on() -> None:
    fleet = fleet_of(1, gap=timedelta(minutes=15))
    red = [booking(1, hours(0, 2), group=RED)]
    assert limit_of(decide(fleet, red, booking(9, hours(2, 3), group=BLUE))) == (Limit.KITS, 0)
    assert given_to(decide(fleet, red, booking(9, hours(2.25, 3), group=BLUE)), 9) == (A,)
    assert given_to(decide(fleet, red, booking(9, hours(2, 3), group=RED)), 9) == (A,)


def test_bookings_by_count_make_room_for_one_that_names_a_kit() -> None:
    demands = [booking(1, hours(0, 2), usual=(A,))]
    answer = decide(fleet_of(2), demands, booking(9, hours(0, 2), fixed=(A,)))
    assert given_to(answer, 9) == (A,)
    assert given_to(answer, 1) == (B,)


def test_a_label_that_someone_named_is_refused_with_the_booking_that_has_it() -> None:
    demands = [booking(1, hours(0, 2), fixed=(A,))]
    answer = decide(fleet_of(2), demands, booking(9, hours(1, 3), fixed=(A,)))
    assert answer == Impossible(Limit.NAMED, 1, (A,), BookingId(1))


def test_a_kit_that_is_out_of_use_is_had_by_nobody_until_it_is_back() -> None:
    fleet = Fleet((FleetKit(A, BUILD, (hours(0, 4),)), FleetKit(B, BUILD)))
    assert limit_of(decide(fleet, [], booking(9, hours(0, 2), fixed=(A,)))) == (Limit.NAMED, 1)
    assert given_to(decide(fleet, [], booking(9, hours(0, 2))), 9) == (B,)
    assert given_to(decide(fleet, [], booking(9, hours(4, 6), fixed=(A,))), 9) == (A,)


def test_a_kit_kept_built_is_there_for_its_own_team_alone() -> None:
    keep = booking(1, hours(0, 24), group=RED, fixed=(A,), keep=True)
    session = booking(9, hours(2, 4), group=RED)
    assert given_to(decide(fleet_of(1), [keep], session), 9) == (A,)
    other = decide(fleet_of(1), [keep], replace(session, group=BLUE))
    assert limit_of(other) == (Limit.KITS, 0)


def test_kits_of_another_type_do_not_count() -> None:
    fleet = Fleet((FleetKit(A, BUILD), FleetKit(B, KitTypeId(2))))
    assert limit_of(decide(fleet, [], booking(9, hours(0, 1), 2))) == (Limit.KITS, 1)


def test_mats_can_be_the_limit() -> None:
    fleet = fleet_of(5, resources={MAT: 3})
    demands = [booking(1, hours(0, 2), resources={MAT: 2})]
    answer = decide(fleet, demands, booking(9, hours(1, 3), resources={MAT: 2}))
    assert answer == Impossible(Limit.RESOURCE, 1, resource=MAT)
    assert isinstance(decide(fleet, demands, booking(9, hours(2, 3), resources={MAT: 3})), Possible)


def test_three_sessions_fit_a_charge_where_four_do_not() -> None:
    # Common practice, no source: a full charge gives three sessions of about 30 driving minutes.
    fleet = Fleet((FleetKit(A, BUILD, battery=Battery(90, 0, (DAY + timedelta(hours=8),))),))
    used = [booking(n, hours(n, n + 1), driving_minutes=30) for n in (1, 2, 3)]
    assert isinstance(decide(fleet, used[:2], used[2]), Possible)
    fourth = booking(9, hours(5, 6), driving_minutes=30)
    assert limit_of(decide(fleet, used, fourth)) == (Limit.BATTERY, 0)
    after_the_charge = replace(fourth, window=hours(8, 9))
    assert isinstance(decide(fleet, used, after_the_charge), Possible)


def test_nobody_is_moved_from_a_label_they_were_told_without_need() -> None:
    demands = [booking(1, hours(0, 2), told=(A,)), booking(2, hours(0, 2), told=(B,))]
    answer = decide(fleet_of(3), demands, booking(9, hours(0, 2), usual=(A,)))
    assert given_to(answer, 9) == (C,)
    assert isinstance(answer, Possible)
    assert answer.changes == ()


def test_a_told_label_is_changed_where_that_is_the_only_way_and_it_is_said() -> None:
    demands = [booking(1, hours(0, 2), told=(A,)), booking(2, hours(2, 4), told=(B,))]
    answer = decide(fleet_of(2), demands, booking(9, hours(0, 4)))
    assert isinstance(answer, Possible)
    assert len(answer.changes) == 1
    assert set(answer.assignment[BookingId(1)]) == set(answer.assignment[BookingId(2)])


def test_a_team_gets_the_kit_it_had_last_time_before_the_least_used_one() -> None:
    kits = tuple(FleetKit(KitId(n), BUILD, uses=uses) for n, uses in ((1, 9), (2, 0), (3, 5)))
    assert given_to(decide(Fleet(kits), [], booking(9, hours(0, 1), usual=(A,))), 9) == (A,)
    assert given_to(decide(Fleet(kits), [], booking(9, hours(0, 1))), 9) == (B,)


def test_a_booking_on_a_broken_kit_does_not_stand_in_the_way_of_others() -> None:
    fleet = Fleet((FleetKit(A, BUILD, (hours(0, 8),)), FleetKit(B, BUILD)))
    demands = [booking(1, hours(0, 2), fixed=(A,))]
    assert given_to(decide(fleet, demands, booking(9, hours(0, 2))), 9) == (B,)


def test_what_cannot_be_met_already_is_told_apart() -> None:
    demands = [booking(1, hours(0, 2)), booking(2, hours(0, 2))]
    answer = decide(fleet_of(1), demands, booking(9, hours(1, 3)))
    assert isinstance(answer, Impossible)
    assert answer.already
    assert isinstance(decide(fleet_of(1), demands, booking(9, hours(2, 3))), Possible)


def test_a_booking_of_two_kit_types_is_one_booking() -> None:
    fleet = Fleet((FleetKit(A, BUILD), FleetKit(B, KitTypeId(2))))
    first = booking(9, hours(0, 1))
    assert given_to(decide(fleet, [first], replace(first, kit_type=KitTypeId(2))), 9) == (B,)
    plan = replan(fleet, [first, replace(first, kit_type=KitTypeId(2), count=2)])
    assert plan.unmet == (ASKED,)
    assert plan.assignment == {}


def test_a_search_without_time_is_left_to_a_leader() -> None:
    """30 and 45 minutes must come together twice, which serving in order doesn't find."""
    fleet = Fleet(tuple(FleetKit(kit, BUILD, battery=Battery(75)) for kit in (A, B)))
    demands = [booking(n, hours(n, n + 1), driving_minutes=30) for n in (1, 2)]
    demands.append(booking(3, hours(3, 4), driving_minutes=45))
    request = booking(9, hours(4, 5), driving_minutes=45)
    assert decide(fleet, demands, request, seconds=0) == Undecided()
    answer = decide(fleet, demands, request)
    assert given_to(answer, 3) != given_to(answer, 9)


def test_a_no_comes_with_fewer_kits_another_time_and_the_next_session() -> None:
    demands = [booking(1, hours(7, 9), 9)]
    request = booking(9, hours(7.5, 9), 4)
    same_day = [hours(start, start + 1.5) for start in (0, 5.5, 7, 9.5)]
    offers = alternatives(fleet_of(12), demands, request, same_day, [hours(79, 81)])
    assert [(offer.kind, offer.request.count, offer.request.window) for offer in offers] == [
        (OfferKind.FEWER, 3, hours(7.5, 9)),
        (OfferKind.OTHER_TIME, 4, hours(5.5, 7)),
        (OfferKind.OTHER_TIME, 4, hours(9.5, 11)),
        (OfferKind.SESSION, 4, hours(79, 81)),
    ]


def test_for_a_label_that_is_taken_another_kit_is_offered() -> None:
    demands = [booking(1, hours(0, 2), fixed=(A,))]
    (offer,) = alternatives(fleet_of(2), demands, booking(9, hours(0, 2), fixed=(A,)), [])
    assert offer.kind is OfferKind.OTHER_KITS
    assert offer.answer.assignment[ASKED] == (B,)


def test_when_a_kit_breaks_only_its_team_hears_of_a_change() -> None:
    fleet = Fleet(
        (FleetKit(A, BUILD, (hours(0, 99),)), *(FleetKit(kit, BUILD) for kit in (B, C, D)))
    )
    demands = [booking(n, hours(0, 2), told=(kit,)) for n, kit in ((1, A), (2, B), (3, C))]
    plan = replan(fleet, demands)
    assert plan.changed == (Change(BookingId(1), (A,), (D,)),)
    assert plan.unmet == ()


def test_when_not_all_can_be_met_the_plan_says_who_and_keeps_what_is_out() -> None:
    fleet = Fleet((FleetKit(A, BUILD, (hours(1, 99),)), FleetKit(B, BUILD)))
    out = booking(1, hours(0, 4), fixed=(B,), firm=True)
    waiting = [booking(2, hours(1, 2), told=(A,)), booking(3, hours(3, 4), told=(B,))]
    later = booking(4, hours(4, 5), told=(B,))
    plan = replan(fleet, [out, *waiting, later])
    assert plan.unmet == (BookingId(2), BookingId(3))
    assert plan.assignment == {BookingId(1): (B,), BookingId(4): (B,)}


def test_what_is_free_leaves_out_labels_that_people_were_told() -> None:
    demands = [
        booking(1, hours(0, 2), told=(B,)),
        booking(2, hours(0, 3), fixed=(C,)),
        booking(3, hours(0, 1)),
    ]
    free = free_now(fleet_of(5), demands, hours(0.5, 1.5))
    assert free.counts == {BUILD: 2}
    assert len(free.kits) == 2
    assert not {B, C} & set(free.kits)


def test_the_solver_is_not_loaded_for_a_plain_answer() -> None:
    program = (
        "import sys; from clubbot.rules.availability import decide;"
        "from tests.rules.availability_clubs import booking, fleet_of, hours;"
        "demands = [booking(n, hours(n % 3, n % 3 + 2)) for n in range(30)];"
        "decide(fleet_of(30), demands, booking(99, hours(1, 2), 3));"
        "sys.exit('highspy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_the_solver_says_nothing_on_standard_output() -> None:
    program = (
        "from clubbot.rules.availability.programme import Programme;"
        "p = Programme(); p.exactly(1, {p.column(): 1, p.column(): 1}); p.solve(1)"
    )
    said = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True
    )
    assert (said.stdout, said.stderr) == ("", "")


@pytest.mark.parametrize(
    "wrong",
    [
        {"fixed": (A, B)},
        {"count": 2, "fixed": (A, A)},
        {"driving_minutes": -1},
        {"resources": {MAT: -1}},
    ],
)
def test_a_demand_that_makes_no_sense_is_a_mistake_of_the_caller(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"distinct|less"):
        booking(1, hours(0, 1), **wrong)


def test_demands_are_plain_values() -> None:
    assert Demand(ASKED, hours(0, 1), BUILD, 2, fixed=(A,)).movable == 1
