"""Invented clubs whose batteries have a truth that the bot can't see, and what people say of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubbot.rules.energy.assumed import USUAL
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.ledger import Detail, Entry, EntryKind
from clubbot.rules.model import Seq, Window

if TYPE_CHECKING:
    import numpy as np

USUAL_MINUTES = 120
DRIVING_PERCENT = 33
NEED = 90.0
"""Driving minutes that a full charge has to give: three sessions of 90 minutes, a third driven."""
WEAK = 0.25, 0.6
"""A weak battery gives this much of the need; the others at least the need."""
KITS, TEAMS, BAYS, WEEKS, TERMS = 12, 9, 6, 14, 3
CHARGE_MINUTES = 150
CURVE = of_full_charge(CHARGE_MINUTES)
NEARLY = 0.1
"""A use that ends below this level is nearly spoiled: the unit shows that it is low, and people
say so as often as that it ran flat."""
MONDAY = datetime(2026, 9, 7, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class World:
    """How true batteries and people differ from what is assumed; shares are 0 to 1.

    - `wrong`: share of all that is said that is wrong: about another kit, a kit that stopped for
      another cause, or a level out of the air.
    - `told_flat`, `told_running`, `told_bars`, `told_percent`: how often each is said after a use
      of which it is true.
    - `wrong_test`: share of run-time tests noted for another battery; `tested`: how often a test
      that the bot asks for is made before the next meeting.
    - `left_on`: share of uses after which the unit stays on until it is empty.
    - `unplugged`: share of lots put on without a current; `noticed`: how many of those are found
      when the bot asks five minutes later whether all show charging.
    - `spread`: how many times as wide the truth is spread as is assumed: between batteries, uses,
      losses at rest, tests, and what is read off bars; `mean`: what batteries truly give, of the
      figure of their type. One that isn't weak then gives at least `mean` of the need.
    - `weak_share`: share of weak batteries.
    """

    wrong: float = 0.10
    told_flat: float = 0.9
    told_running: float = 0.10
    told_bars: float = 0.15
    told_percent: float = 0.05
    wrong_test: float = 0.01
    tested: float = 0.75
    left_on: float = 0.005
    unplugged: float = 0.02
    noticed: float = 0.75
    spread: float = 1.0
    mean: float = 1.0
    weak_share: float = 0.05


@dataclass(slots=True)
class Battery:
    """What is true of one battery: minutes of driving from full, level, share lost a day."""

    run: float
    fade: float
    rest: float
    level: float
    spoiled: int = 0
    touched: int = 0
    mishap: str = ""

    @property
    def weak(self) -> bool:
        return self.run < WEAK[1] * NEED

    @property
    def healthy(self) -> bool:
        return self.run >= NEED


def battery(rng: np.random.Generator, world: World, *, healthy: bool = False) -> Battery:
    """Return a battery drawn at random; a new one is healthy."""
    if not healthy and rng.random() < world.weak_share:
        run, fade = NEED * rng.uniform(*WEAK), 0.03
    else:
        run, fade = 0.0, 0.01
        while run < NEED * world.mean:
            spread = USUAL.healthy_spread * world.spread
            run = USUAL_MINUTES * world.mean * rng.lognormal(0, spread)
    rest = USUAL.rest_per_day * rng.lognormal(0, USUAL.rest_spread * world.spread)
    return Battery(run, fade * rng.lognormal(0, 0.3), rest, 1.0)


@dataclass(slots=True)
class Use:
    """How one use of a kit went: `flat_after` minutes on the clock, where it ran flat."""

    window: Window
    flat_after: float | None
    flat_at_start: bool
    end_level: float


def use(rng: np.random.Generator, world: World, cell: Battery, window: Window) -> Use:
    """Drive a kit as booked: as much as usual, give or take; and perhaps leave it on."""
    minutes = window.length / timedelta(minutes=1)
    share = DRIVING_PERCENT / 100
    planned = minutes * (share + (1 - share) * USUAL.idle_share)
    taken = planned * rng.lognormal(0, USUAL.driving_spread * world.spread)
    start = cell.level
    cell.level = max(0.0, start - taken / cell.run)
    flat = minutes * start * cell.run / taken if taken > start * cell.run else None
    went = Use(window, flat, start <= 0.005, cell.level)
    if rng.random() < world.left_on:
        cell.level, cell.mishap = 0.0, "left on"
    return went


def charge(cell: Battery, minutes: float) -> float:
    """Charge a battery; return how long it took. One that holds less fills up quicker."""
    scale = USUAL_MINUTES / cell.run
    taken = min(minutes, CURVE.minutes(cell.level) / scale)
    cell.level = CURVE.level_after(cell.level, taken * scale)
    cell.mishap = "" if cell.level > 0.95 else cell.mishap
    return taken


def pass_days(cells: list[Battery], days: float) -> None:
    """Let batteries rest, and age."""
    for cell in cells:
        cell.level = max(0.0, cell.level - cell.rest * days)
        cell.run *= 1 - cell.fade * days / 100


@dataclass(slots=True)
class Reports:
    """What people say after a session: a kit's number, and what is said of it."""

    said: list[tuple[int, EntryKind, Detail]] = field(default_factory=list)


def reports(rng: np.random.Generator, world: World, went: dict[int, Use]) -> Reports:
    """Return what is said after a session of the kits that were used; one in ten is wrong."""
    found = Reports()
    for kit, each in went.items():
        said = _true(rng, world, each)
        if said is None:
            continue
        if rng.random() < world.wrong:
            kit, said = _wrong(rng, went, kit, said)
        found.said.append((kit, *said))
    return found


def _true(rng: np.random.Generator, world: World, each: Use) -> tuple[EntryKind, Detail] | None:
    if each.flat_at_start:
        return EntryKind.FOUND_FLAT, Detail()
    if each.flat_after is not None:
        if rng.random() >= world.told_flat:
            return None
        noisy = max(1, round(each.flat_after / 5) * 5)
        return EntryKind.RAN_FLAT, Detail(minutes=noisy)
    if each.end_level < NEARLY:
        if rng.random() >= world.told_flat:
            return None
        return EntryKind.LEVEL_SEEN, Detail(percent=0 if each.end_level < 0.05 else 25, rough=True)
    chance = rng.random()
    if chance < world.told_running:
        return EntryKind.STILL_RUNNING, Detail()
    if chance < world.told_running + world.told_bars:
        seen = each.end_level + rng.normal(0, USUAL.bars_spread * world.spread)
        percent = round(4 * min(1, max(0, seen))) * 25
        return EntryKind.LEVEL_SEEN, Detail(percent=percent, rough=True)
    if chance < world.told_running + world.told_bars + world.told_percent:
        seen = each.end_level + rng.normal(0, USUAL.told_spread * world.spread)
        return EntryKind.LEVEL_SEEN, Detail(percent=round(100 * min(1, max(0, seen))))
    return None


def _wrong(
    rng: np.random.Generator, went: dict[int, Use], kit: int, said: tuple[EntryKind, Detail]
) -> tuple[int, tuple[EntryKind, Detail]]:
    how = rng.integers(3)
    if how == 0:
        return int(rng.choice(list(went))), said
    if how == 1:
        return kit, (EntryKind.RAN_FLAT, Detail(minutes=5 * int(rng.integers(1, 18))))
    return kit, (EntryKind.LEVEL_SEEN, Detail(percent=int(rng.integers(0, 101))))


def entry(kind: EntryKind, at: datetime, detail: Detail = Detail()) -> Entry:  # noqa: B008
    """Return a line of the ledger of one battery."""
    return Entry(Seq(0), kind, at, at, None, detail=detail)


def supervised(now: datetime, until: datetime) -> list[Window]:
    """Return when an adult is there: Mondays and Thursdays 13 to 16, and around the meetings."""
    spans = {0: (13, 16), 3: (13, 16), 1: (15, 17.5), 4: (15, 17.5)}
    found = []
    day = now.replace(hour=0)
    while day < until:
        if day.weekday() in spans:
            first, last = (day + hour * timedelta(hours=1) for hour in spans[day.weekday()])
            if last > now and first < until:
                found.append(Window(max(first, now), min(last, until)))
        day += timedelta(days=1)
    return found
