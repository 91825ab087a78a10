"""The charge plan against what no plan can beat: 500 weeks of 40 units on 10 bays.

    .venv/bin/python -m tests.bench.charging [how many]

Each week has supervised hours on three to five days, an hour and a quarter to three hours long,
and 40 charges of 10 to 150 minutes, each for a session of one of these days; together they ask for
a quarter to nine tenths of all bay-time. For each stage of the plan it prints how far it is from
its lower bound, as a distribution, and the processor seconds of a plan. To reach: within 5 % in 95
of 100 weeks, under a second. The bound on moments only counts heads (so many charges, so many bays)
and the one on the end knows nothing of walks: a plan may be best and still be far from them.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from datetime import UTC, datetime, timedelta

from clubbot.rules.energy.needs import STEP, Task
from clubbot.rules.energy.plan import ChargePlan, charge_plan
from clubbot.rules.model import KitId, Window

UNITS, BAYS, WEEKS = 40, 10, 500
MONDAY = datetime(2026, 10, 5, tzinfo=UTC)
WITHIN = 0.05


def week(seed: int) -> tuple[list[Task], list[Window]]:
    """Return a random week's charges and the hours in which an adult is there."""
    dice = random.Random(seed)
    days = sorted(dice.sample(range(5), dice.randint(3, 5)))
    hours = []
    for day in days:
        start = MONDAY + timedelta(days=day, hours=dice.randint(12, 14))
        hours.append(Window(start, start + STEP * dice.randint(15, 36)))
    mean = dice.uniform(0.25, 0.9) * BAYS * sum(span.length // STEP for span in hours) / UNITS
    steps = [max(2, min(30, round(mean * dice.uniform(0.4, 1.6)))) for _ in range(UNITS)]
    return [
        Task(KitId(kit + 1), 5 * each, Window(MONDAY, dice.choice(hours).end))
        for kit, each in enumerate(steps)
    ], hours


def _worked(hours: list[Window], until: datetime) -> float:
    """Return the supervised minutes up to then."""
    spans = (max(timedelta(0), min(span.end, until) - span.start) for span in hours)
    return sum(spans, timedelta(0)) / timedelta(minutes=1)


def gaps(plan: ChargePlan, hours: list[Window]) -> dict[str, float]:
    """Return by stage how much more a plan takes than its lower bound, as a share of it."""
    found = {"left out": (len(plan.short) - plan.left_out) / UNITS}
    if not plan.short:
        moments = len({each.window.start for each in plan.stretches})
        kits = {each.kit for each in plan.stretches}
        found["moments"] = moments / plan.moments - 1
        found["times put on"] = len(plan.stretches) / len(kits) - 1
        assert plan.not_before is not None
        least = _worked(hours, plan.not_before)
        found["the end"] = (
            _worked(hours, max(each.window.end for each in plan.stretches)) / least - 1
        )
    return found


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else WEEKS
    by_stage: dict[str, list[float]] = {}
    seconds, short = [], Counter[int]()
    for seed in range(many):
        tasks, hours = week(seed)
        began = time.process_time()
        plan = charge_plan(tasks, hours, BAYS)
        seconds.append(time.process_time() - began)
        short[len(plan.short)] += 1
        for stage, gap in gaps(plan, hours).items():
            by_stage.setdefault(stage, []).append(gap)
    print(f"{many} weeks of {UNITS} units on {BAYS} bays")
    for stage, found in by_stage.items():
        found.sort()
        within = sum(gap <= WITHIN for gap in found) / len(found)
        marks = [found[min(len(found) - 1, int(share * len(found)))] for share in (0.5, 0.9, 0.95)]
        shown = ", ".join(f"{100 * mark:.1f} %" for mark in (*marks, found[-1]))
        print(f"{stage:14} {100 * within:5.1f} % of {len(found)} within 5 %;", end=" ")
        print(f"half, nine in ten, 19 in 20, all: {shown}")
    seconds.sort()
    print(f"seconds        median {seconds[many // 2]:.2f}, longest {seconds[-1]:.2f}")
    print(f"left out       {dict(sorted(short.items()))}")


if __name__ == "__main__":
    main()
