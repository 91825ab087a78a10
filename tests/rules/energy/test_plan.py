"""The charge plan against every plan there is, on tiny cases, and by example."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.energy.belief import after, prior
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.events import Charged, RunTimeTest
from clubbot.rules.energy.needs import STEP, Task, needs
from clubbot.rules.energy.plan import ChargePlan, charge_plan, what_helps
from clubbot.rules.model import KitId, Window

NINE = datetime(2026, 10, 5, 9, tzinfo=UTC)


def _at(step: int) -> datetime:
    return NINE + step * STEP


def _span(start: int, end: int) -> Window:
    return Window(_at(start), _at(end))


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[Task], list[Window], int]:
    """Up to three charges in one or two short spans; some are out for a while."""
    gap = draw(st.integers(1, 3))
    hours = [_span(0, draw(st.integers(1, 4)))]
    if draw(st.booleans()):
        start = round((hours[0].end - NINE) / STEP) + gap
        hours.append(_span(start, start + draw(st.integers(1, 3))))
    end = round((hours[-1].end - NINE) / STEP)
    tasks = []
    for kit in range(draw(st.integers(1, 3))):
        first = draw(st.integers(0, end - 1))
        window = _span(first, draw(st.integers(first + 1, end + 1)))
        out = draw(st.integers(0, end))
        busy = (_span(out, out + 1),) if draw(st.booleans()) else ()
        tasks.append(Task(KitId(kit + 1), 5 * draw(st.integers(1, 4)), window, busy))
    return tasks, hours, draw(st.integers(1, 2))


def _every_way(task: Task, times: list[datetime]) -> list[tuple[datetime, ...]]:
    may = [
        at
        for at in times
        if task.window.start <= at
        and at + STEP <= task.window.end
        and not any(at < each.end and each.start < at + STEP for each in task.busy)
    ]
    return [(), *combinations(may, task.minutes // 5)]


def _put_on(way: tuple[datetime, ...]) -> int:
    return sum(at - STEP not in way for at in way)


def _best(tasks: list[Task], hours: list[Window], bays: int) -> tuple[int, int]:
    """Try every plan; return the fewest left out, and then the fewest times one is put on."""
    times = [span.start + n * STEP for span in hours for n in range(span.length // STEP)]
    found = []
    for ways in product(*(_every_way(task, times) for task in tasks)):
        if all(sum(at in way for way in ways) <= bays for at in times):
            found.append((ways.count(()), sum(map(_put_on, ways))))
    return min(found)


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


@settings(max_examples=150, deadline=None)
@given(cases())
def test_no_plan_makes_more_charges_nor_as_many_with_fewer_moves(
    case: tuple[list[Task], list[Window], int],
) -> None:
    plan = charge_plan(*case, seconds=20)
    _check(plan, *case)
    assert (len(plan.short), len(plan.stretches)) == _best(*case)
    assert plan.best


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 18), st.integers(0, 3)), min_size=9, max_size=40))
def test_a_large_plan_keeps_to_the_hours_and_the_bays(charges: list[tuple[int, int]]) -> None:
    days = [Window(NINE + timedelta(days=d), NINE + timedelta(days=d, hours=2)) for d in range(4)]
    tasks = [
        Task(KitId(kit), 5 * steps, Window(NINE, days[day].end))
        for kit, (steps, day) in enumerate(charges)
    ]
    _check(charge_plan(tasks, days, 6, seconds=0), tasks, days, 6)


def test_two_bays_take_three_charges_by_resuming_one_of_them() -> None:
    """McNaughton 1959: with interruptions 2 bays need no longer than the sum divided by 2."""
    tasks = [Task(KitId(kit), 20, _span(0, 6)) for kit in (1, 2, 3)]
    plan = charge_plan(tasks, [_span(0, 6)], 2)
    _check(plan, tasks, [_span(0, 6)], 2)
    assert plan.short == ()
    assert len(plan.stretches) == 4


def test_what_cannot_be_made_is_named_with_what_would_help() -> None:
    tasks = [Task(KitId(kit), 60, Window(NINE, _at(24))) for kit in (1, 2, 3)]
    plan = charge_plan(tasks, [_span(0, 12)], 1)
    assert len(plan.short) == 2
    helps = what_helps(tasks, [_span(0, 12)], 1)
    assert helps.more_bays == 2
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
