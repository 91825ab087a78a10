"""Plans made by choosing the moments first: places, prices, and what is found with few walks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.energy.exact import settle
from clubbot.rules.energy.moments import with_fewest_moments
from clubbot.rules.energy.openings import Openings
from clubbot.rules.energy.places import Lot, Places
from clubbot.rules.energy.plan import charge_plan
from clubbot.rules.energy.prices import MOST_PARTS, asked_for, by_length
from clubbot.rules.energy.sets import Offers, Sets
from clubbot.rules.energy.slots import Job, Slots, score, stretches
from tests.bench.charging import BAYS, week
from tests.bench.charging_bound import Bounds
from tests.bench.charging_prices import asked_for as one_asks
from tests.bench.charging_prices import fitting, unplaced


@st.composite
def weeks(draw: st.DrawFn) -> Slots:
    """Charges on few bays over one to three days, each due at the end of one of them."""
    lengths = draw(st.lists(st.integers(3, 8), min_size=1, max_size=3))
    ends = [sum(lengths[: at + 1]) for at in range(len(lengths))]
    jobs = [
        Job(draw(st.integers(1, 8)), tuple(range(draw(st.sampled_from(ends)))))
        for _ in range(draw(st.integers(3, 8)))
    ]
    breaks = frozenset({0, *ends[:-1]})
    return Slots(tuple(jobs), breaks, draw(st.integers(1, 3)))


@st.composite
def lots_of(draw: st.DrawFn, slots: Slots) -> tuple[Lot, ...]:
    found: list[Lot] = []
    steps = sorted({step for job in slots.jobs for step in job.allowed})
    for first, last in stretches(slots, steps):
        for start in sorted(draw(st.sets(st.integers(first, last), max_size=3))):
            if found and found[-1].end > start:
                found[-1] = Lot(found[-1].start, start - found[-1].start, slots.bays)
            found.append(Lot(start, last + 1 - start, slots.bays))
    return tuple(found)


def _placed(slots: Slots, lots: tuple[Lot, ...]) -> int:
    """Place charges one by one, moving others aside (Kuhn's augmenting paths, 1955)."""
    there = [(lot, bay) for lot in lots for bay in range(lot.room)]
    held: dict[tuple[Lot, int], int] = {}

    def fits(job: Job, lot: Lot) -> bool:
        steps = range(lot.start, lot.start + job.steps)
        return job.steps <= lot.length and all(step in job.allowed for step in steps)

    def place(which: int, seen: set[tuple[Lot, int]]) -> bool:
        for one in there:
            if one in seen or not fits(slots.jobs[which], one[0]):
                continue
            seen.add(one)
            if one not in held or place(held[one], seen):
                held[one] = which
                return True
        return False

    return sum(place(which, set()) for which in range(len(slots.jobs)))


def _as_set(offers: Offers, lots: tuple[Lot, ...]) -> Sets:
    return offers.sets(
        np.array([[lot.start for lot in lots]]), np.array([[lot.end for lot in lots]])
    )


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.data())
def test_as_many_charges_lack_a_place_as_a_greatest_matching_leaves(data: st.DataObject) -> None:
    slots = data.draw(weeks())
    lots = data.draw(lots_of(slots).filter(bool))
    places = Places(slots, range(len(slots.jobs)))
    offers = Offers(slots, places)
    lacking = len(slots.jobs) - _placed(slots, lots)
    assert offers.unplaced(_as_set(offers, lots), places.every).tolist() == [lacking]
    fits = [(fitting(places, lot), lot.room) for lot in lots]
    assert unplaced(fits, places.every) == lacking


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.data())
def test_no_price_rules_out_what_can_be_made(data: st.DataObject) -> None:
    slots = data.draw(weeks())
    lots = data.draw(lots_of(slots).filter(bool))
    places = Places(slots, range(len(slots.jobs)))
    openings = Openings(slots, places)
    one = _as_set(openings.offers, lots)
    for apart in (0, 1, 2, None):
        made = places.made(lots, 5, apart=99 if apart is None else apart)
        if made is None:
            continue
        assert asked_for(one, openings.demands, apart)[0] <= 1
        assert by_length(one, openings.offers.demand(places.every))[0] <= 1
        parts = 1 if apart == 0 else MOST_PARTS
        assert one_asks(lots, places.lengths(places.every), parts) <= 1


@settings(max_examples=12, deadline=None, derandomize=True)
@given(weeks())
def test_what_is_found_is_as_good_as_the_best_and_no_bound_is_better(slots: Slots) -> None:
    """Moments, times put on and the end, one after the other, beside the exact programme."""
    exact = settle(slots, 10)
    assert exact is not None
    best, proved = exact
    assert proved
    left_out, moments, put_on, end, _ = score(slots, best)
    kept = [which for which, times in enumerate(best) if times]
    if not kept:
        return
    found = with_fewest_moments(slots, kept, range(1, moments + 1), 1)
    if found is not None:
        got = score(slots, found)
        assert got[:2] == (left_out, moments)
        assert got[2:4] >= (put_on, end)
    if left_out == 0:
        stages = Bounds(slots, 10)
        assert stages.moments(moments) <= moments
        apart = put_on - len(kept)
        assert stages.apart(moments, apart) <= apart
        assert stages.end(moments, apart, 1, end, end - 1) <= end


@pytest.mark.parametrize(("seed", "moments"), [(57, 7), (87, 7), (134, 6), (143, 6)])
def test_a_week_with_an_almost_full_day_needs_few_walks(seed: int, moments: int) -> None:
    """On one day 0.9 of all bay time and more is taken: plain orders walk 18 to 30 times."""
    tasks, hours = week(seed)
    plan = charge_plan(tasks, hours, BAYS)
    assert not plan.short
    assert len({each.window.start for each in plan.stretches}) == moments
