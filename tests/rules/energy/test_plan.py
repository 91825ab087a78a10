"""The charge plan against every plan there is, on tiny cases, and by example."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.energy.belief import after, prior
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.events import Charged, RunTimeTest
from clubbot.rules.energy.needs import STEP, Task, needs
from clubbot.rules.energy.orders import in_list
from clubbot.rules.energy.plan import Bays, ChargePlan, charge_plan, what_helps
from clubbot.rules.energy.slots import Job, Slots, finish
from clubbot.rules.model import KitId, Window
from tests.bench.charging import week

NINE = datetime(2026, 10, 5, 9, tzinfo=UTC)


def _at(step: int) -> datetime:
    return NINE + step * STEP


def _span(start: int, end: int) -> Window:
    return Window(_at(start), _at(end))


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[Task], list[Window], int]:
    """Up to twelve charges of up to three kinds in one or two short spans; some are out a while."""
    hours = [_span(0, draw(st.integers(1, 5)))]
    if draw(st.booleans()):
        start = round((hours[0].end - NINE) / STEP) + draw(st.integers(1, 3))
        hours.append(_span(start, start + draw(st.integers(1, 4))))
    end = round((hours[-1].end - NINE) / STEP)
    kinds = []
    for _ in range(draw(st.integers(1, 3))):
        first = draw(st.integers(0, end - 1))
        window = _span(first, draw(st.integers(first + 1, end + 1)))
        out = draw(st.integers(0, end))
        busy = (_span(out, out + 1),) if draw(st.booleans()) else ()
        kinds.append((5 * draw(st.integers(1, 4)), window, busy))
    chosen = draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=12))
    tasks = [Task(KitId(number), *kind) for number, kind in enumerate(chosen, 1)]
    return tasks, hours, draw(st.integers(1, 4))


def _best(tasks: list[Task], hours: list[Window], bays: int) -> tuple[int, ...]:
    """Go through every plan there is, step by step; charges alike are not told apart.

    Return the fewest left out, then the fewest moments at which something is put on, then the
    fewest times that, then the earliest end, then the least sum of the steps used.
    """
    times = [span.start + n * STEP for span in hours for n in range(span.length // STEP)]
    kinds = sorted({(t.minutes, t.window, t.busy) for t in tasks})

    def may(kind: int, at: datetime) -> bool:
        _, window, busy = kinds[kind]
        inside = window.start <= at and at + STEP <= window.end
        return inside and not any(at < each.end and each.start < at + STEP for each in busy)

    @cache
    def rest(step: int, state: tuple[tuple[tuple[int, int, bool], int], ...]) -> Stages:
        """State: how many charges there are of each (kind, steps needed, on just before)."""
        if step == len(times):
            begun = any(left * 5 < kinds[kind][0] for (kind, left, _), _ in state if left)
            return None if begun else (sum(n for (_, left, _), n in state if left), 0, 0, 0, 0)
        follows = step > 0 and times[step - 1] + STEP == times[step]
        found: Stages = None
        choices = [
            range(number + 1) if left and may(kind, times[step]) else range(1)
            for (kind, left, _), number in state
        ]
        for on in product(*choices):
            if sum(on) > bays:
                continue
            after: Counter[tuple[int, int, bool]] = Counter()
            put_on = 0
            for ((kind, left, was_on), number), chosen in zip(state, on, strict=True):
                put_on += chosen if not (was_on and follows) else 0
                after[kind, left - 1, True] += chosen
                after[kind, left, False] += number - chosen
            then = rest(step + 1, tuple(sorted((+after).items())))
            if then is not None:
                left_out, moments, times_put_on, end, sums = then
                whole = (
                    left_out,
                    moments + (put_on > 0),
                    times_put_on + put_on,
                    max(end, step + 1 if sum(on) else 0),
                    sums + step * sum(on),
                )
                found = whole if found is None else min(found, whole)
        return found

    start = Counter(
        (kinds.index((t.minutes, t.window, t.busy)), t.minutes // 5, False) for t in tasks
    )
    best = rest(0, tuple(sorted(start.items())))
    assert best is not None
    return best


Stages = tuple[int, ...] | None


def _stages(plan: ChargePlan, hours: list[Window]) -> tuple[int, ...]:
    times = [span.start + n * STEP for span in hours for n in range(span.length // STEP)]
    used = [
        at for each in plan.stretches for at in times if each.window.start <= at < each.window.end
    ]
    return (
        len(plan.short),
        len({each.window.start for each in plan.stretches}),
        len(plan.stretches),
        max((times.index(at) + 1 for at in used), default=0),
        sum(map(times.index, used)),
    )


def _check(plan: ChargePlan, tasks: list[Task], hours: list[Window], bays: int) -> None:
    """Hold a plan to what every plan must keep."""
    by_kit = {task.kit: task for task in tasks}
    short = {each.kit for each in plan.short}
    for one in plan.stretches:
        task = by_kit[one.kit]
        assert 1 <= one.bay <= bays
        assert any(h.start <= one.window.start and one.window.end <= h.end for h in hours)
        assert task.window.start <= one.window.start
        assert one.window.end <= task.window.end
        assert not any(one.window.overlaps(out) for out in task.busy)
        for other in plan.stretches:
            if other is not one and other.window.overlaps(one.window):
                assert other.bay != one.bay
                assert other.kit != one.kit
    for kit, task in by_kit.items():
        mine = [each for each in plan.stretches if each.kit == kit]
        length = sum((each.window.length for each in mine), timedelta())
        assert length == timedelta(minutes=0 if kit in short else task.minutes)
        assert [each.last for each in mine] == [False] * (len(mine) - 1) + [True] * bool(mine)
    assert list(plan.stretches) == sorted(plan.stretches, key=lambda each: each.window.start)


@settings(max_examples=120, deadline=None, derandomize=True)
@given(cases())
def test_every_stage_is_as_good_as_in_the_best_of_all_plans(
    case: tuple[list[Task], list[Window], int],
) -> None:
    """Most charges, fewest moments, fewest times something is put on, first end: up to 12 units."""
    _, hours, _ = case
    plan = charge_plan(*case, seconds=20)
    _check(plan, *case)
    assert plan.best
    best = _best(*case)
    assert _stages(plan, hours) == best
    assert plan.left_out <= best[0]
    if not plan.short:
        assert plan.moments <= best[1]
        assert plan.not_before is not None
        assert plan.not_before <= max(each.window.end for each in plan.stretches)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 18), st.integers(0, 3)), min_size=9, max_size=40))
def test_a_large_plan_keeps_to_the_hours_and_the_bays(charges: list[tuple[int, int]]) -> None:
    days = [Window(NINE + timedelta(days=d), NINE + timedelta(days=d, hours=2)) for d in range(4)]
    tasks = [
        Task(KitId(kit), 5 * steps, Window(NINE, days[day].end))
        for kit, (steps, day) in enumerate(charges)
    ]
    _check(charge_plan(tasks, days, 6, seconds=0), tasks, days, 6)


def _bare(minutes: list[int], bays: int, steps: int) -> tuple[list[Task], list[Window], int]:
    """Charges of so many steps each, all from the start to the end of one span."""
    tasks = [Task(KitId(n), 5 * each, _span(0, steps)) for n, each in enumerate(minutes, 1)]
    return tasks, [_span(0, steps)], bays


def test_with_interruptions_nothing_is_needed_beyond_the_longest_or_the_even_share() -> None:
    """McNaughton 1959: 4, 5, 3, 5, 4 on 3 machines take 7 with interruptions, and 8 without.

    The numbers are from memory of Brucker, Scheduling Algorithms, 5.1.
    """
    case = _bare([4, 5, 3, 5, 4], 3, 7)
    plan = charge_plan(*case)
    _check(plan, *case)
    assert plan.short == ()
    assert plan.not_before == _at(7)
    assert len(plan.stretches) > 5, "without interruptions 7 is not enough"
    assert len(charge_plan(*_bare([4, 5, 3, 5, 4], 3, 6)).short) == 1
    assert len(charge_plan(*_bare([4, 5, 3, 5, 4], 3, 8)).stretches) == 5


GRAHAM = [
    (2, [3, 3, 2, 2, 2], 7, 6),
    (3, [5, 5, 4, 4, 3, 3, 3], 11, 9),
    (4, [7, 7, 6, 6, 5, 5, 4, 4, 4], 15, 12),
    (5, [9, 9, 8, 8, 7, 7, 6, 6, 5, 5, 5], 19, 15),
]


@pytest.mark.parametrize(("bays", "minutes", "longest_first", "best"), GRAHAM)
def test_the_plan_is_the_best_where_the_longest_first_is_at_its_worst(
    bays: int, minutes: list[int], longest_first: int, best: int
) -> None:
    """Graham 1969 (SIAM J. Appl. Math. 17): longest first takes 4/3 - 1/(3m) of the best time.

    The family is from memory of Pinedo, Scheduling, 5.1; the bound is tight on it. Each charge is
    on one bay from beginning to end, as in Graham's setting.
    """
    assert finish(in_list(_slots(minutes, bays), range(len(minutes)))) == longest_first
    assert longest_first * 3 * bays == best * (4 * bays - 1)
    case = _bare(minutes, bays, best)
    plan = charge_plan(*case, seconds=1)
    _check(plan, *case)
    assert plan.short == ()
    assert plan.not_before == _at(best)
    assert len(charge_plan(*_bare(minutes, bays, best - 1), seconds=0).short) > 0


@pytest.mark.parametrize("bays", [2, 3, 4])
def test_a_list_with_its_longest_last_takes_almost_twice_the_best_time(bays: int) -> None:
    """Graham 1966: any list takes at most 2 - 1/m of the best time; m(m - 1) ones, then an m."""
    minutes = [1] * (bays * (bays - 1)) + [bays]
    assert finish(in_list(_slots(minutes, bays), range(len(minutes)))) == 2 * bays - 1
    case = _bare(minutes, bays, bays)
    plan = charge_plan(*case)
    _check(plan, *case)
    assert plan.short == ()


def test_a_list_is_followed_as_it_is_given() -> None:
    """4, 5, 6, 7, 8: ends at 18 on two machines, at 13 on three (Wikipedia, list scheduling)."""
    minutes = [4, 5, 6, 7, 8]
    for bays, end in ((2, 18), (3, 13)):
        assert finish(in_list(_slots(minutes, bays), range(5))) == end


def _slots(steps: list[int], bays: int) -> Slots:
    every = tuple(range(sum(steps)))
    return Slots(tuple(Job(each, every) for each in steps), frozenset({0}), bays)


def test_what_is_on_already_keeps_its_bay_and_tablets_need_none() -> None:
    taken = Bays(2, ((2, _span(0, 3)),))
    tasks = [Task(KitId(1), 20, _span(0, 8)), Task(KitId(2), 20, _span(0, 8))]
    tasks += [Task(KitId(kit), 20, _span(0, 8), own=True) for kit in (1, 2)]
    plan = charge_plan(tasks, [_span(0, 8)], taken)
    assert plan.short == ()
    assert all(each.window.start >= _at(3) for each in plan.stretches if each.bay == 2)
    assert [each.bay for each in plan.stretches if each.own] == [0, 0]


def test_a_charge_is_done_a_quarter_of_an_hour_before_its_deadline_where_that_costs_none() -> None:
    task = Task(KitId(1), 30, _span(0, 12))
    slack = timedelta(minutes=15)
    (early,) = charge_plan([task], [_span(5, 12)], 1, slack=slack).short or (None,)
    assert early is None
    ends = [
        each.window.end for each in charge_plan([task], [_span(0, 12)], 1, slack=slack).stretches
    ]
    assert ends[-1] <= _at(9)


@pytest.mark.parametrize("seed", range(20))
def test_a_week_of_forty_units_on_ten_bays_is_near_what_no_plan_can_beat(seed: int) -> None:
    tasks, hours = week(seed)
    plan = charge_plan(tasks, hours, 10)
    _check(plan, tasks, hours, 10)
    assert len(plan.short) - plan.left_out <= 2


def test_what_cannot_be_made_is_named_with_what_would_help() -> None:
    tasks = [Task(KitId(kit), 60, Window(NINE, _at(24))) for kit in (1, 2, 3)]
    plan = charge_plan(tasks, [_span(0, 12)], 1)
    assert len(plan.short) == 2
    helps = what_helps(tasks, [_span(0, 12)], 1)
    assert (helps.more_bays, helps.fewer) == (2, 2)
    twice = [*tasks, *(replace(task, own=True) for task in tasks), *tasks]
    assert what_helps(twice, [_span(0, 12)], 1).fewer <= 3, "kits, not charges; no tablets"
    helps = what_helps(tasks[:2], [_span(0, 12)], 1)
    assert helps.adult_from == _span(12, 24)


def test_without_supervised_hours_nothing_is_charged() -> None:
    tasks = [Task(KitId(1), 30, _span(0, 24))]
    plan = charge_plan(tasks, [], 4)
    assert plan.stretches == ()
    assert [each.kit for each in plan.short] == [1]


# -- what the uses to come ask for ----------------------------------------------------------------

WEEK = [
    Window(NINE + timedelta(days=d, hours=6), NINE + timedelta(days=d, hours=7.5)) for d in range(5)
]


def _needs(
    uses: list[Window], *, gives: int | None = None, hours: list[Window] | None = None
) -> tuple[list[Task], int]:
    told = [Charged()] if gives is None else [Charged(), RunTimeTest(gives), Charged()]
    mornings = [Window(use.start - timedelta(hours=6), use.start) for use in WEEK]
    found = needs(
        KitId(1),
        after(prior(120), told),
        uses,
        NINE,
        curve=of_full_charge(150),
        driving_percent=33,
        hours=mornings if hours is None else hours,
    )
    return list(found.tasks), len(found.beyond)


def test_a_full_battery_needs_no_charge_for_three_sessions_and_one_before_the_fourth() -> None:
    assert _needs(WEEK[:3]) == ([], 0)
    (task,), beyond = _needs(WEEK[:4])
    assert task.window == Window(WEEK[2].end, WEEK[3].start)
    assert 5 <= task.minutes <= 150
    assert beyond == 0


def test_where_no_adult_is_there_on_the_last_days_the_charge_is_made_earlier() -> None:
    morning = [Window(WEEK[1].start - timedelta(hours=4), WEEK[1].start)]
    (task,), _ = _needs(WEEK[:4], hours=morning)
    assert task.window == Window(WEEK[0].end, WEEK[3].start)
    assert task.busy == (WEEK[1], WEEK[2])


def test_one_charge_carries_through_the_fourth_and_the_fifth_session() -> None:
    (task,), _ = _needs(WEEK[:5])
    assert task.window.end == WEEK[3].start


def test_what_not_even_a_full_charge_lasts_through_is_told_apart() -> None:
    long = [Window(NINE + timedelta(hours=6), NINE + timedelta(hours=9))]
    assert _needs(long)[1] == 0
    assert _needs(long, gives=40) == ([], 1)
