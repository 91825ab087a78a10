"""How long a request takes to be answered, beside the depth bound alone.

    python -m tests.bench.availability [--requests 300] [--rounds 3]

Clubs are drawn from a fixed seed and filled through `decide` itself. Per club: the median, the
99th percentile and the worst time of a request; the share of yes; how many were undecided, and how
many yeses were not proved to be the preferred ones; and the median as a ratio to the time that
`depth` takes over the same live bookings (which decides only the plain case, and gives no
kits). The two clubs differ in what is hard:

    sessions    most bookings are for a club meeting, as a whole or by half; nearly all were told
    staggered   bookings start at any half hour, a third were told, a tenth name a kit

each with a gap of ten minutes between teams. "quick" is without the search for the best kits.
To reach, at 60 kits and 400 live bookings: a median under 50 ms, a 99th percentile under 2 s.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from time import perf_counter

from clubbot.rules.availability import (
    Demand,
    Fleet,
    FleetKit,
    Possible,
    Undecided,
    decide,
    depth,
)
from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId, Window

MONDAY = datetime(2026, 10, 5, tzinfo=UTC)
BUILD = KitTypeId(1)


@dataclass(frozen=True, slots=True)
class Habits:
    """What a club's bookings are like: starts and lengths in hours, shares from 0 to 1."""

    starts: tuple[float, ...]
    lengths: tuple[float, ...]
    told: float
    named: float
    kept: float


SESSIONS = Habits((15.5, 15.5, 15.5, 16.25), (0.75, 1.5, 1.5), told=0.9, named=0.05, kept=0.03)
STAGGERED = Habits((15.5, 16, 16.5, 17, 17.5), (1, 1.5, 2), told=0.33, named=0.1, kept=0)


@dataclass(slots=True)
class Club:
    """A fleet, its live bookings, and who had which kits last time."""

    habits: Habits
    fleet: Fleet
    days: int
    draw: random.Random
    demands: list[Demand]
    last: dict[TeamId, tuple[KitId, ...]]

    def request(self, number: int) -> Demand:
        day, draw = self.draw.randrange(self.days), self.draw
        start = MONDAY + timedelta(days=day, hours=draw.choice(self.habits.starts))
        window = Window(start, start + timedelta(hours=draw.choice(self.habits.lengths)))
        team = TeamId(draw.randint(1, len(self.fleet.kits)))
        count = draw.choice([1, 1, 1, 1, 2, 3, max(3, len(self.fleet.kits) // 10)])
        label = (KitId(draw.randint(1, len(self.fleet.kits))),)
        if draw.random() < self.habits.kept:
            window = Window(start, start + timedelta(days=draw.randint(2, 14)))
            return Demand(BookingId(number), window, BUILD, 1, team, label, keep=True)
        if draw.random() < self.habits.named:
            return Demand(BookingId(number), window, BUILD, 1, team, label)
        usual = self.last.get(team, ())
        return Demand(BookingId(number), window, BUILD, count, team, usual=usual)


def club(habits: Habits, kits: int, live: int, days: int, seed: int) -> Club:
    """A club with so many live bookings over so many days, each of which was a yes."""
    draw = random.Random(seed)
    fleet = Fleet(
        tuple(FleetKit(KitId(n), BUILD, uses=draw.randrange(40)) for n in range(1, kits + 1)),
        gap=timedelta(minutes=10),
    )
    made = Club(habits, fleet, days, draw, [], {})
    for number in range(20 * live):
        if len(made.demands) == live:
            break
        demand = made.request(number)
        answer = decide(fleet, made.demands, demand, thorough=False)
        if not isinstance(answer, Possible):
            continue
        now = {change.booking: change.now for change in answer.changes}
        made.demands = [replace(d, told=now.get(d.booking, d.told)) for d in made.demands]
        kits_given = answer.assignment[demand.booking]
        if demand.group is not None:
            made.last[demand.group] = kits_given
        told = kits_given if draw.random() < habits.told else ()
        made.demands.append(replace(demand, told=told))
    return made


def measure(made: Club, requests: int, *, thorough: bool) -> None:
    asked = [made.request(10_000_000 + number) for number in range(requests)]
    times, depths, yes, undecided, unproved = [], [], 0, 0, 0
    windows = [demand.window for demand in made.demands]
    for request in asked:
        before = perf_counter()
        answer = decide(made.fleet, made.demands, request, thorough=thorough)
        times.append(perf_counter() - before)
        before = perf_counter()
        depth([*windows, request.window])
        depths.append(perf_counter() - before)
        yes += isinstance(answer, Possible)
        undecided += isinstance(answer, Undecided)
        unproved += isinstance(answer, Possible) and not answer.best
    times.sort()
    median = statistics.median(times)
    print(
        f"  {'thorough' if thorough else 'quick   '}  median {1e3 * median:7.2f} ms"
        f"  p99 {1e3 * times[int(0.99 * len(times))]:8.1f} ms  worst {1e3 * times[-1]:8.1f} ms"
        f"  {median / statistics.median(depths):6.1f} x depth alone"
        f"  yes {yes}/{requests}  undecided {undecided}  unproved {unproved}"
        f"  solver {'loaded' if 'highspy' in sys.modules else 'not loaded'}"
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--requests", type=int, default=300)
    options.add_argument("--rounds", type=int, default=3)
    chosen = options.parse_args()
    for name, habits in (("sessions", SESSIONS), ("staggered", STAGGERED)):
        for kits, live, days in ((12, 30, 15), (60, 400, 28)):
            for seed in range(chosen.rounds):
                made = club(habits, kits, live, days, seed)
                print(f"{name}, {kits} kits, {len(made.demands)} live in {days} days, club {seed}")
                for thorough in (False, True):
                    measure(made, chosen.requests, thorough=thorough)


if __name__ == "__main__":
    main()
