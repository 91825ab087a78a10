"""What the desk answers about how good batteries still are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from clubbot.rules.energy.survival import FleetRuns, RunTime
from clubbot.rules.results.shared import KitRef

Bounds = tuple[int, int, int]
"""Minutes of driving from full: what it lies between four times in five, and the middle."""


@dataclass(frozen=True, slots=True)
class RunTimeLine:
    """`doubted`: the verdict is its last test's, of which what else is known isn't sure."""

    kit: KitRef
    run: Bounds
    verdict: Literal["good", "unsure", "short uses", "weak"]
    held: bool = False
    doubted: bool = False


@dataclass(frozen=True, slots=True)
class RunTimes:
    """What is believed of every battery, the weakest first, beside what a week needs.

    `fleet`: what half of them, and nine in ten, ran in their last tests, where that can be said.
    """

    lines: tuple[RunTimeLine, ...]
    need: int
    fleet: FleetRuns


@dataclass(frozen=True, slots=True)
class BatteryHealth:
    """One battery through the months.

    `run` is what is believed now, `months` are (day, low, middle, high) of what was then; `tests`
    are (place among the months, run time). `others`: what the other batteries of its type usually
    give. `below`: the chance, in per cent, that it gives less than the `need` of a week; `session`
    is one session's.
    `ran_flat`: how often that was said of it in the time that is looked back on; `tested`: its
    last test. `warranty`: until when, where it still runs; `fault`: the open fault
    for it. `short_minutes`: it is for uses of that length only already.
    `held`: why the kit is on hold, None where it isn't.
    """

    kit: KitRef
    run: Bounds
    months: tuple[tuple[date, int, int, int], ...]
    tests: tuple[tuple[int, RunTime], ...]
    others: Bounds | None
    need: int
    session: int
    below: int
    verdict: Literal["good", "unsure", "short uses", "weak"]
    ran_flat: int
    tested: RunTime | None
    warranty: date | None
    fault: int | None
    out_of_use: bool
    short_minutes: int | None
    held: str | None = None


@dataclass(frozen=True, slots=True)
class ShortUses:
    """A kit is for uses of at most so many minutes from now on; None: for all again.

    `moved`: (number, before, after) of the bookings that get another kit; `short`: those that
    can't have one.
    """

    kit: KitRef
    minutes: int | None
    moved: tuple[tuple[int, str, str], ...]
    short: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BatteryClaim:
    """A fault was noted for a weak battery, so that a letter can be written about it."""

    kit: KitRef
    fault: int
    evidence: str
