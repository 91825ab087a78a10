"""How long a request takes to be answered at the desk, from the text to the committed booking.

    python -m tests.bench.desk [--requests 300] [--past 10000] [--kits 60] [--live 400]

Two clubs on SQLite files, with the store's own durable commits: one with years behind it, one with
ten bookings in the past, and otherwise alike. They are asked in turn, the same requests each, so
that whatever else the machine does falls on both. Printed are the median and the 99th percentile;
the median as a ratio to the club without a past; and as a ratio to the depth bound alone over the
same live bookings, which decides only the plain case, gives no kits and reads no store.

To reach: a median under 50 ms, a 99th percentile under 2 s, and no growth with the past.
"""

from __future__ import annotations

import argparse
import itertools
import random
import statistics
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from time import perf_counter

import sqlalchemy as sa

from clubbot.desk import booking
from clubbot.desk.acting import Asking
from clubbot.rules.availability import depth
from clubbot.rules.model import ClubId, Window
from clubbot.rules.results import Booked
from clubbot.store import bookings, clubs
from clubbot.store.engine import Store
from clubbot.store.tables import BOOKING
from tests.bench import past

DAYS = 50
"""Over how many school days the live bookings are spread, eight to a meeting."""
TIMES = ("15:30 to 17:00", "15:30 to 16:15", "9:00 to 10:30", "11:00 to 12:30", "16:15 to 17:00")
COUNTS = (1, 1, 1, 1, 2, 2, 3, 8, 50)


@dataclass
class Desk:
    """One club, and how long its answers took, in seconds."""

    name: str
    store: Store
    club: ClubId
    took: list[float] = field(default_factory=list)
    bound: list[float] = field(default_factory=list)
    answers: Counter[str] = field(default_factory=Counter)

    def ask(self, text: str, number: int) -> bool:
        """Ask for kits, take the time, and say whether something was booked."""
        person = past.FIRST_PERSON + number % past.PEOPLE
        now = past.NOW + timedelta(seconds=number)
        asking = Asking(1, number, person, person, private=True, said_at=now, now=now)
        before = perf_counter()
        answer = booking.request(self.store, asking, text)
        self.took.append(perf_counter() - before)
        self.answers[type(answer.value).__name__] += 1
        return isinstance(answer.value, Booked)

    def measure_bound(self, window: Window) -> None:
        windows = [*self._live(), window]
        before = perf_counter()
        depth(windows)
        self.bound.append(perf_counter() - before)

    def _live(self) -> list[Window]:
        wanted = sa.select(BOOKING.c.starts, BOOKING.c.ends).where(BOOKING.c.ends > past.NOW)
        with self.store.read() as tx:
            return [Window(row.starts, row.ends) for row in tx.execute(wanted)]

    def take_back(self) -> None:
        """Cancel what was just booked, so that every request meets as many live bookings."""
        with self.store.write() as tx:
            clubs.lock(tx, self.club)
            newest = tx.execute(sa.select(BOOKING.c.id).order_by(BOOKING.c.id.desc()).limit(1))
            bookings.cancel(tx, self.club, newest.scalar_one(), past.NOW)


def requests(number: int) -> Iterator[str]:
    """Yield what people type: any school day to come, any time, one kit or many, some by name."""
    draw = random.Random(5)
    days = list(itertools.islice(past.weekdays(past.NOW, 1), 1, DAYS))
    for _ in range(number):
        day: datetime = draw.choice(days)
        count = draw.choice(COUNTS)
        what = f"kit {draw.randint(1, past.KITS)}" if draw.random() < 0.1 else f"{count} kits"
        yield f"{what} {day:%Y-%m-%d} {draw.choice(TIMES)}"


def opened(folder: Path, name: str, behind: int, live: int) -> Desk:
    url = f"sqlite:///{(folder / name).as_posix()}.sqlite"
    past.make(url, behind, live)
    store = Store(url)
    with store.read() as tx:
        club = clubs.everyone(tx)[0].id
    return Desk(f"{behind} in the past", store, club)


def compare(desks: list[Desk], texts: list[str]) -> None:
    for number, text in enumerate(texts, start=1):
        # Who is first in turn changes: the second finds the machine's caches warm.
        for desk in desks if number % 2 else reversed(desks):
            if desk.ask(text, number):
                desk.take_back()
            desk.measure_bound(Window(past.NOW, past.NOW + timedelta(hours=1)))


def report(desks: list[Desk], kits: int, live: int) -> None:
    few = statistics.median(desks[-1].took)
    print(f"{kits} kits, {live} live bookings, {len(desks[0].took)} requests each")
    print("| club | median ms | p99 ms | worst ms | to few past | to depth alone | answers |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for desk in desks:
        took = sorted(desk.took)
        median = statistics.median(took)
        p99 = took[min(len(took) - 1, int(0.99 * len(took)))]
        answers = ", ".join(f"{count} {name}" for name, count in desk.answers.most_common())
        print(
            f"| {desk.name} | {1e3 * median:.1f} | {1e3 * p99:.1f} | {1e3 * took[-1]:.1f} "
            f"| {median / few:.2f} | {median / statistics.median(desk.bound):.0f} | {answers} |"
        )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--requests", type=int, default=300)
    options.add_argument("--past", type=int, default=10_000)
    options.add_argument("--kits", type=int, default=60)
    options.add_argument("--live", type=int, default=400)
    chosen = options.parse_args()
    past.KITS, past.TEAMS = chosen.kits, 12
    texts = list(requests(chosen.requests))
    with tempfile.TemporaryDirectory() as folder:
        desks = [
            opened(Path(folder), "long", chosen.past, chosen.live),
            opened(Path(folder), "short", 10, chosen.live),
        ]
        try:
            compare(desks, texts)
            report(desks, chosen.kits, chosen.live)
        finally:
            for desk in desks:
                desk.store.close()


if __name__ == "__main__":
    main()
