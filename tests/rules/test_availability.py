"""Every yes and no of the booking engine against trying every assignment."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.availability import (
    Battery,
    Demand,
    Fleet,
    FleetKit,
    Impossible,
    Limit,
    Possible,
    ResourceId,
    decide,
    depth,
    free_now,
)
from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId, Window
from tests.rules.availability_oracle import assignments, possible, regret

DAY = datetime(2026, 10, 2, 8, tzinfo=UTC)
BUILD = KitTypeId(1)
MAT = ResourceId(7)


def hours(start: float, end: float) -> Window:
    return Window(DAY + timedelta(hours=start), DAY + timedelta(hours=end))


def windows() -> st.SearchStrategy[Window]:
    return st.builds(
        lambda start, length: hours(start / 2, (start + length) / 2),
        st.integers(0, 12),
        st.integers(1, 6),
    )


def kits(number: int, types: int, batteries: bool) -> st.SearchStrategy[FleetKit]:
    charges = st.lists(st.integers(0, 18), unique=True, max_size=2).map(
        lambda moments: tuple(DAY + timedelta(minutes=20 * moment) for moment in sorted(moments))
    )
    battery = st.none() | st.builds(Battery, st.integers(20, 90), st.integers(0, 30), charges)
    return st.builds(
        FleetKit,
        st.just(KitId(number)),
        st.integers(1, types).map(KitTypeId),
        st.lists(windows(), max_size=1).map(tuple),
        battery if batteries else st.none(),
        st.integers(0, 3),
    )


@st.composite
def clubs(draw: st.DrawFn) -> tuple[Fleet, list[Demand], Demand]:
    types = draw(st.sampled_from([1, 1, 2]))
    batteries = draw(st.booleans())
    count = draw(st.integers(1, 5))
    fleet = Fleet(
        tuple(draw(kits(number, types, batteries)) for number in range(1, count + 1)),
        MappingProxyType({MAT: draw(st.integers(0, 3))}),
        timedelta(minutes=draw(st.sampled_from([0, 0, 15, 30]))),
    )
    labels = st.integers(1, count).map(KitId)

    def demand(booking: int) -> Demand:
        wanted = draw(st.integers(1, 3))
        fixed = draw(st.lists(labels, unique=True, max_size=wanted)) if draw(st.booleans()) else []
        return Demand(
            BookingId(booking),
            draw(windows()),
            KitTypeId(draw(st.integers(1, types))),
            wanted,
            draw(st.none() | st.integers(1, 3).map(TeamId)),
            tuple(fixed),
            tuple(draw(st.lists(labels, unique=True, max_size=3))),
            tuple(draw(st.lists(labels, unique=True, max_size=2))),
            draw(st.sampled_from([0, 20, 30, 45])) if batteries else 0,
            MappingProxyType({MAT: draw(st.sampled_from([0, 0, 0, 1, 2]))}),
            keep=draw(st.sampled_from([False, False, True])) if fixed else False,
        )

    demands = [demand(booking) for booking in range(1, draw(st.integers(0, 5)) + 1)]
    return fleet, demands, demand(9)


@settings(max_examples=400, deadline=None)
@given(clubs())
def test_a_request_is_a_yes_exactly_when_some_assignment_serves_everyone(
    club: tuple[Fleet, list[Demand], Demand],
) -> None:
    fleet, demands, request = club
    answer = decide(fleet, demands, request)
    consistent = next(assignments(fleet, demands), None) is not None
    if consistent:
        assert isinstance(answer, Possible) == possible(fleet, demands, request)
    elif isinstance(answer, Impossible):
        assert not possible(fleet, demands, request)
    if isinstance(answer, Possible):
        assert answer.best
        part = [d for d in [*demands, request] if d.booking in answer.assignment]
        choice = tuple(answer.assignment[d.booking][len(d.fixed) :] for d in part)
        everything = [*demands, request]
        ways = {
            tuple(tuple(sorted(kits)) for kits in way): regret(fleet, everything, part, way)
            for way in assignments(fleet, everything, part)
        }
        mine = tuple(tuple(sorted(kits)) for kits in choice)
        assert ways[mine] == min(ways.values())
