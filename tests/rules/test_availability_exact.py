"""The booking engine against trying everything, on clubs small enough for that."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.availability import (
    Impossible,
    Limit,
    OfferKind,
    Possible,
    alternatives,
    decide,
    free_now,
    replan,
)
from clubbot.rules.availability.classes import any_fit
from clubbot.rules.availability.exact import Found, search
from clubbot.rules.availability.ground import Ground
from clubbot.rules.availability.programme import Verdict
from clubbot.rules.availability.settle import parts_for
from clubbot.rules.model import BookingId, Window
from tests.rules.availability_clubs import Club, clubs, windows
from tests.rules.availability_oracle import (
    assignments,
    best_plans,
    plan_regret,
    possible,
    regret,
)


@settings(max_examples=80, deadline=None)
@given(clubs())
def test_a_request_is_a_yes_exactly_when_some_assignment_serves_everyone(club: Club) -> None:
    fleet, demands, request = club
    answer = decide(fleet, demands, request)
    if next(assignments(fleet, demands), None) is not None:
        assert isinstance(answer, Possible) == possible(fleet, demands, request)
    elif isinstance(answer, Impossible):
        assert not possible(fleet, demands, request)


@settings(max_examples=80, deadline=None)
@given(clubs())
def test_of_all_assignments_the_preferred_one_is_given(club: Club) -> None:
    fleet, demands, request = club
    answer = decide(fleet, demands, request)
    if not isinstance(answer, Possible):
        return
    everyone = [*demands, request]
    part = [demand for demand in everyone if demand.booking in answer.assignment]
    given = tuple(answer.assignment[d.booking][len(d.fixed) :] for d in part)
    ways = {
        tuple(tuple(sorted(kits)) for kits in way): regret(fleet, everyone, part, way)
        for way in assignments(fleet, everyone, part)
    }
    assert answer.best
    assert ways[tuple(tuple(sorted(kits)) for kits in given)] == min(ways.values())


@settings(max_examples=50, deadline=None)
@given(clubs())
def test_a_quick_answer_says_the_same_and_changes_no_more_labels(club: Club) -> None:
    fleet, demands, request = club
    best = decide(fleet, demands, request)
    quick = decide(fleet, demands, request, thorough=False)
    assert type(quick) is type(best)
    if isinstance(best, Possible) and isinstance(quick, Possible):
        everyone = [*demands, request]
        part = [demand for demand in everyone if demand.booking in best.assignment]
        lost = [
            regret(
                fleet, everyone, part, tuple(a.assignment[d.booking][len(d.fixed) :] for d in part)
            )[0]
            for a in (best, quick)
        ]
        assert lost[0] == lost[1]


@settings(max_examples=40, deadline=None)
@given(clubs())
def test_the_two_exact_searches_agree_with_trying_everything(club: Club) -> None:
    """On every part, also on those that are mostly decided without a search."""
    fleet, demands, request = club
    for part in parts_for(Ground(fleet, [*demands, request])):
        inside = [item.demand for item in part.items]
        there_is = next(assignments(fleet, [*demands, request], inside), None) is not None
        assert (any_fit(part, 10) is not Verdict.NO) == there_is
        assert isinstance(search(part, 10), Found) == there_is


@settings(max_examples=50, deadline=None)
@given(clubs())
def test_a_no_says_how_many_could_be_had(club: Club) -> None:
    fleet, demands, request = club
    answer = decide(fleet, demands, request)
    if not isinstance(answer, Impossible) or answer.limit is Limit.RESOURCE:
        return
    types = {kit.kit_type for kit in fleet.kits if kit.id in request.fixed}
    if len(types) == 1 and not request.movable:
        request = replace(request, kit_type=types.pop())
    counts = [
        count
        for count in range(request.count + 1)
        if next(assignments(fleet, [*demands, replace(request, count=count, fixed=())]), None)
        is not None
    ]
    if next(assignments(fleet, demands), None) is not None:
        assert not answer.already
        assert answer.possible == max(counts)


@settings(max_examples=50, deadline=None)
@given(clubs(), windows(12))
def test_what_is_shown_as_free_can_be_had_and_not_one_more(club: Club, window: Window) -> None:
    fleet, demands, request = club
    free = free_now(fleet, demands, window)
    asked = replace(
        request, window=window, group=None, fixed=(), told=(), driving_minutes=0, keep=False
    )
    asked = replace(asked, resources={})
    if next(assignments(fleet, demands), None) is None:
        return
    for kit_type, count in free.counts.items():
        most = [
            number
            for number in range(len(fleet.kits) + 1)
            if possible(fleet, demands, replace(asked, kit_type=kit_type, count=number))
        ]
        assert count == max(most)
        named = tuple(k.id for k in fleet.kits if k.id in free.kits and k.kit_type == kit_type)
        by_name = replace(asked, kit_type=kit_type, count=len(named), fixed=named)
        assert possible(fleet, demands, by_name)
    told = {
        kit for d in demands if d.window.overlaps(window, fleet.gap) for kit in (*d.told, *d.fixed)
    }
    assert not told & set(free.kits)


@settings(max_examples=50, deadline=None)
@given(clubs(), st.lists(windows(20), max_size=5, unique=True))
def test_offers_are_the_nearest_that_are_a_yes(club: Club, candidates: list[Window]) -> None:
    fleet, demands, request = club
    if next(assignments(fleet, demands), None) is None:
        return
    same_day, sessions = candidates[:3], candidates[3:]
    offers = alternatives(fleet, demands, request, same_day, sessions)
    assert all(possible(fleet, demands, offer.request) for offer in offers)
    nearest = sorted(
        (window for window in same_day if window != request.window),
        key=lambda window: (abs(window.start - request.window.start), window.start),
    )
    yes = [w for w in nearest if possible(fleet, demands, replace(request, window=w))]
    offered = [o.request.window for o in offers if o.kind is OfferKind.OTHER_TIME]
    assert offered == yes[:2]
    following = [
        window
        for window in sorted(sessions)
        if window.start > request.window.start
        and possible(fleet, demands, replace(request, window=window))
    ]
    offered = [o.request.window for o in offers if o.kind is OfferKind.SESSION]
    assert offered == following[:1]


@settings(max_examples=80, deadline=None)
@given(clubs(charged=False), st.lists(st.booleans(), min_size=6, max_size=6))
def test_a_new_plan_meets_the_most_and_then_changes_the_fewest(club: Club, out: list[bool]) -> None:
    fleet, demands, request = club
    bookings = [
        replace(demand, firm=bool(demand.fixed) and given_out)
        for demand, given_out in zip([*demands, request], out, strict=False)
    ]
    plan = replan(fleet, bookings)
    met = [demand for demand in bookings if demand.booking in plan.assignment]
    assert {d.booking for d in bookings} == {*plan.assignment, *plan.unmet}
    given = tuple(plan.assignment[d.booking][len(d.fixed) :] for d in met)
    staying = [
        replace(d, count=len(d.fixed)) for d in bookings if d not in met and (d.firm or d.keep)
    ]
    ways = assignments(fleet, [*met, *staying], met)
    assert tuple(tuple(sorted(kits)) for kits in given) in {
        tuple(tuple(sorted(kits)) for kits in way) for way in ways
    }
    unmet = len(bookings) - len(met)
    assert plan.best
    assert (unmet, *plan_regret(fleet, met, given)) == best_plans(fleet, bookings)
    lost: set[BookingId] = {
        demand.booking
        for demand in met
        if len(set(demand.told) & set(plan.assignment[demand.booking]))
        < min(len(demand.told), demand.count)
    }
    assert {change.booking for change in plan.changed} == lost
