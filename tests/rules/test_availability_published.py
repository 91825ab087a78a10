"""Published instances of interval partitioning, and a solver that shares nothing with ours."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import pytest
from pysat.card import CardEnc, EncType
from pysat.examples.rc2 import RC2
from pysat.formula import WCNF, IDPool

from clubbot.rules.availability import (
    Demand,
    Fleet,
    FleetKit,
    Impossible,
    Possible,
    decide,
    depth,
    replan,
)
from clubbot.rules.model import KitId, TeamId, Window
from tests.rules.availability_clubs import BUILD, booking, fleet_of, hours
from tests.rules.availability_oracle import clash

# California State University, Stanislaus, CS4440, take-home exercise 3, 2020: given with its
# answer (6 rooms; 9-10, 11-14, 16-19 are the most that one room can serve).
STANISLAUS = [
    (13, 15), (17, 22), (12, 17), (9, 10), (12, 15), (9, 11),
    (11, 14), (10, 15), (16, 19), (12, 14), (18, 23), (8, 11),
]  # fmt: skip
# Slides to Kleinberg and Tardos, Algorithm Design, section 4.1 ("this schedule uses only 3
# rooms"); the times are from memory.
LECTURES = [
    (9, 10.5), (9, 12.5), (9, 10.5), (11, 12.5), (11, 14),
    (13, 14.5), (13, 14.5), (14, 16.5), (15, 16.5), (15, 16.5),
]  # fmt: skip


def bookings(times: list[tuple[float, float]]) -> list[Demand]:
    return [booking(number, hours(start - 8, end - 8)) for number, (start, end) in enumerate(times)]


@pytest.mark.parametrize(("times", "rooms"), [(STANISLAUS, 6), (LECTURES, 3)])
def test_published_schedules_need_the_published_number(
    times: list[tuple[float, float]], rooms: int
) -> None:
    *others, last = bookings(times)
    assert depth([demand.window for demand in (*others, last)]) == rooms
    answer = decide(fleet_of(rooms), others, last)
    assert isinstance(answer, Possible)
    assert replan(fleet_of(rooms), [*others, last]).unmet == ()
    assert replan(fleet_of(rooms - 1), [*others, last]).unmet != ()


def test_the_published_most_for_one_room_is_met_with_one_kit() -> None:
    plan = replan(fleet_of(1), bookings(STANISLAUS))
    assert len(plan.assignment) == 3


def as_clauses(fleet: Fleet, demands: list[Demand]) -> WCNF:
    """Has demand d kit k? Pairs that clash exclude each other, counts are cardinalities."""
    names = IDPool()
    problem = WCNF()
    for demand in demands:
        allowed = [
            kit
            for kit in fleet.kits
            if not any(window.overlaps(demand.window) for window in kit.blocked)
            or kit.id in demand.fixed
        ]
        has = [names.id((demand.booking, kit.id)) for kit in allowed]
        for kit in fleet.kits:
            if kit not in allowed:
                problem.append([-names.id((demand.booking, kit.id))])
        if demand.count > len(has):
            problem.append([])
            continue
        counted = CardEnc.equals(has, demand.count, vpool=names, encoding=EncType.seqcounter)
        problem.extend(counted.clauses)
        for kit_id in demand.fixed:
            problem.append([names.id((demand.booking, kit_id))])
        for kit_id in demand.told:
            problem.append([names.id((demand.booking, kit_id))], weight=1)
    for one, other in combinations(demands, 2):
        if clash(fleet, one, other):
            for kit in fleet.kits:
                problem.append(
                    [-names.id((one.booking, kit.id)), -names.id((other.booking, kit.id))]
                )
    return problem


def week(seed: int) -> tuple[Fleet, list[Demand]]:
    """A fleet of 5 to 7 and about 24 bookings on three days, with gaps, labels and blocks."""
    draw = random.Random(seed)
    count = draw.randint(6, 8)

    def window(length: float) -> Window:
        start = 24 * draw.randrange(3) + draw.randrange(20) / 4
        return hours(start, start + length)

    blocked = {draw.randint(1, count): (window(3),) for _ in range(2)}
    fleet = Fleet(
        tuple(
            FleetKit(KitId(n), BUILD, blocked.get(n, ()), uses=draw.randrange(9))
            for n in range(1, count + 1)
        ),
        gap=hours(0, draw.choice([0.25, 0.5])).length,
    )
    demands: list[Demand] = []
    for number in range(1, 80):
        demand = booking(
            number,
            window(draw.choice([1, 1.5, 1.5, 2])),
            draw.choice([1, 1, 1, 2, 3]),
            group=TeamId(draw.randint(1, 12)),
        )
        if draw.random() < 0.15:
            demand = booking(
                number, demand.window, group=demand.group, fixed=(KitId(draw.randint(1, count)),)
            )
        answer = decide(fleet, demands, demand)
        if isinstance(answer, Possible):
            now = {change.booking: change.now for change in answer.changes}
            demands = [replace(d, told=now.get(d.booking, d.told)) for d in demands]
            if draw.random() < 0.6 and demand.movable:
                demand = booking(
                    number,
                    demand.window,
                    demand.count,
                    group=demand.group,
                    told=answer.assignment[demand.booking],
                )
            demands.append(demand)
        if len(demands) == 24:
            break
    return fleet, demands


def test_a_weeks_answers_are_those_of_a_satisfiability_solver() -> None:
    """RC2 (A. Ignatiev, A. Morgado, J. Marques-Silva, JSAT 11, 2019) over all bookings at once:
    the same yes and no, and the same least number of told labels lost."""
    seen: set[tuple[bool, bool]] = set()
    for seed in range(6):
        fleet, demands = week(seed)
        draw = random.Random(1000 + seed)
        for _ in range(12):
            start = 24 * draw.randrange(3) + draw.randrange(20) / 4
            request = booking(
                99, hours(start, start + 1.5), draw.randint(1, 3), group=TeamId(draw.randint(1, 14))
            )
            answer = decide(fleet, demands, request)
            with RC2(as_clauses(fleet, [*demands, request])) as solver:
                satisfied = solver.compute() is not None
                cost = solver.cost
            seen.add((satisfied, cost > 0))
            assert isinstance(answer, Possible if satisfied else Impossible)
            if isinstance(answer, Possible):
                assert cost == sum(len(set(c.told) - set(c.now)) for c in answer.changes)
    assert seen > {(True, True), (True, False)}
    assert not all(satisfied for satisfied, _ in seen)
