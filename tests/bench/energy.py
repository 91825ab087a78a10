"""The hidden-truth check: does what the bot believes of batteries keep kits running?

    .venv/bin/python -m tests.bench.energy                 # 200 terms on fresh seeds
    .venv/bin/python -m tests.bench.energy --clubs 20 --seeds 1000    # the seeds it was tuned on
    .venv/bin/python -m tests.bench.energy --clubs 14 --spread 1.5    # truth isn't as assumed:
    .venv/bin/python -m tests.bench.energy --clubs 14 --mean 0.8      # spread wider, or less long

Clubs of 12 kits meet twice a week for 14 weeks a term, three terms a year. The bot hears what
people say, one report in ten wrong, and decides by its own rules who is charged, who is ready and
which battery is worn. Beside it, on the same terms, two habits: charge everything every Friday,
and charge what shows low.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from tests.bench.energy_club import World
from tests.bench.energy_report import Tally, report
from tests.bench.energy_year import Club, Habit

FRESH, TUNING = 700_000, 1_000
"""First seeds: of what is reported, and of what priors and limits were chosen on."""


def simulated(
    clubs: int, first_seed: int, habit: Habit = "bot", world: World | None = None, tests: int = 0
) -> Tally:
    """Return what is counted over so many clubs' years, on two processes."""
    total = Tally()
    run = partial(_year, habit=habit, world=world or World(), tests=tests)
    with ProcessPoolExecutor(2) as pool:
        for tally in pool.map(run, range(first_seed, first_seed + clubs)):
            total.add(tally)
    return total


def _year(seed: int, habit: Habit, world: World, tests: int) -> Tally:
    return Club(seed, habit, world, tests).year()


def main() -> None:
    """Print the report."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--clubs", type=int, default=67)
    asked.add_argument("--seeds", type=int, default=FRESH)
    asked.add_argument("--only", choices=("bot", "tests", "habits"))
    asked.add_argument("--weak", type=float, default=0.05, help="share of weak batteries")
    asked.add_argument(
        "--spread", type=float, default=1.0, help="how many times as wide the truth is spread"
    )
    asked.add_argument(
        "--mean", type=float, default=1.0, help="what batteries truly give, of their type's figure"
    )
    args = asked.parse_args()
    world = World(weak_share=args.weak, spread=args.spread, mean=args.mean)
    if (world.spread, world.mean) != (1, 1):
        print(f"truth: {world.spread:g} times the spreads assumed, {world.mean:g} of the run time")
    if args.only in (None, "bot"):
        print(
            report("bot, no test days", simulated(args.clubs, args.seeds, world=world)), flush=True
        )
    if args.only in (None, "tests"):
        found = simulated(args.clubs, args.seeds, world=world, tests=2)
        print(report("bot, two test days a year", found), flush=True)
    if args.only in (None, "habits"):
        fridays = simulated(args.clubs, args.seeds, "fridays", world)
        print(report("habit: everything every Friday", fridays), flush=True)
        low = simulated(args.clubs, args.seeds, "low", world)
        print(report("habit: charge what shows low", low), flush=True)


if __name__ == "__main__":
    main()
