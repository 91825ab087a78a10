"""A year of an invented club: what is charged, given out, said and made of it, truth beside it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import groupby
from typing import Literal

import numpy as np

from clubbot.rules.energy.assumed import AIM, SURE, USUAL
from clubbot.rules.energy.filling import towards_full
from clubbot.rules.energy.health import Need, health
from clubbot.rules.energy.needs import Task, needs, used
from clubbot.rules.energy.plan import Stretch, charge_plan
from clubbot.rules.energy.story import Past, at, begun, heard
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, Window
from tests.bench.energy_club import (
    BAYS,
    CHARGE_MINUTES,
    CURVE,
    DRIVING_PERCENT,
    KITS,
    MONDAY,
    NEARLY,
    NEED,
    TEAMS,
    TERMS,
    USUAL_MINUTES,
    WEEKS,
    Battery,
    World,
    battery,
    charge,
    entry,
    pass_days,
    reports,
    supervised,
    use,
)
from tests.bench.energy_report import Tally

Habit = Literal["bot", "fridays", "low"]
_DAY, _HOUR = timedelta(days=1), timedelta(hours=1)
_ASKED = Need(week=round(NEED), session=30)
_SHOWS_LOW = 0.3


class Club:
    """One club over a year, its kits' batteries, and what is believed of each."""

    def __init__(self, seed: int, habit: Habit, world: World, tests: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.habit, self.world, self.tests = habit, world, tests
        self.cells = [battery(self.rng, world) for _ in range(KITS)]
        self.past: list[Past] = [begun(USUAL_MINUTES, DRIVING_PERCENT, CURVE) for _ in range(KITS)]
        self.tally = Tally()
        self.low: set[int] = set()

    def year(self) -> Tally:
        start = MONDAY
        for term in range(TERMS):
            self.term(start, tested=term < self.tests)
            start += timedelta(weeks=WEEKS + 3)
        for cell in self.cells:
            self._settle(cell, found=False)
        return self.tally

    def term(self, monday: datetime, *, tested: bool) -> None:
        tally = self.tally
        tally.terms += 1
        tally.bay_hours.append(0.0)
        tally.walks.append(0)
        for kit, cell in enumerate(self.cells):
            cell.level = 0.5
            self._hear(kit, EntryKind.CHARGED, monday, Detail(percent=50))
        days = [monday + timedelta(weeks=week, days=day) for week in range(WEEKS) for day in (1, 4)]
        meetings = [Window(day + 15.5 * _HOUR, day + 17 * _HOUR) for day in days]
        booked = [
            [int(kit) for kit in self.rng.choice(KITS, TEAMS, replace=False)] for _ in meetings
        ]
        if tested:
            self._test_day(monday + 9 * _HOUR)
        now = monday + 10 * _HOUR
        for number, window in enumerate(meetings):
            if self.habit == "bot":
                self._asked_tests(now)
            self._charge(now, meetings[number : number + 2], booked[number : number + 2])
            self._meet(window, booked[number])
            now = window.end
        healthy = sum(cell.healthy for cell in self.cells)
        tally.healthy_years += healthy / TERMS

    def _hear(self, kit: int, kind: EntryKind, at_: datetime, detail: Detail = Detail()) -> None:  # noqa: B008
        if self.habit == "bot":
            self.past[kit] = heard(self.past[kit], entry(kind, at_, detail))

    def _test_day(self, now: datetime) -> None:
        for kit in range(KITS):
            self._test(kit, now)
        self._judge()

    def _test(self, kit: int, now: datetime) -> None:
        """Run a battery from full until it stops."""
        cell = self.cells[kit]
        minutes = cell.run * self.rng.lognormal(0, USUAL.test_spread * self.world.spread)
        if self.rng.random() < self.world.wrong_test:
            minutes = self.cells[int(self.rng.integers(KITS))].run
        cell.level, cell.mishap = 0.0, ""
        self._hear(kit, EntryKind.CHARGED, now)
        self._hear(kit, EntryKind.RUN_TIME_TESTED, now, Detail(minutes=round(minutes)))

    def _asked_tests(self, now: datetime) -> None:
        """Test the batteries of which the bot says that a test would tell, where somebody does."""
        for kit in range(KITS):
            asked = self._verdict(kit) == "unsure"
            if asked and self.rng.random() < self.world.tested:
                self.tally.asked_tests += 1
                self.tally.walks[-1] += 1
                self.tally.bay_hours[-1] += CHARGE_MINUTES / 60
                self._test(kit, now)
        self._judge()

    # -- charging ---------------------------------------------------------------------------------

    def _charge(self, now: datetime, meetings: list[Window], booked: list[list[int]]) -> None:
        pass_days(self.cells, (meetings[0].start - now) / _DAY)
        if self.habit == "bot":
            stretches = self._planned(now, meetings, booked)
            lots = groupby(
                sorted(stretches, key=lambda each: each.window.start),
                key=lambda each: each.window.start,
            )
            for start, lot in lots:
                if start < meetings[0].start:
                    self._lot([(int(s.kit), s.window) for s in lot])
            return
        if self.habit == "fridays":
            wanted = list(range(KITS)) if now.weekday() in (0, 4) else []
        else:
            wanted = sorted(self.low)
        self.low.clear()
        for first in range(0, len(wanted), BAYS):
            full = Window(now, now + 12 * _HOUR)
            self._lot([(kit, full) for kit in wanted[first : first + BAYS]])

    def _planned(
        self, now: datetime, meetings: list[Window], booked: list[list[int]]
    ) -> Iterable[Stretch]:
        hours = supervised(now, meetings[-1].start)
        for window, kits in zip(meetings, booked, strict=True):
            self._spared(window, kits)
        for sure in (AIM, SURE):
            tasks = self._tasks(now, meetings, booked, sure)
            plan = charge_plan(tasks, hours, BAYS, seconds=0)
            if not plan.short:
                break
        return towards_full(plan, tasks, hours).stretches

    def _spared(self, window: Window, kits: list[int]) -> None:
        """Book another kit in place of one that might not last even when full."""
        drive = used(window, DRIVING_PERCENT)
        good = [
            self.past[kit].known.belief.level_for(drive.minutes, drive.idle) is not None
            for kit in range(KITS)
        ]
        spare = [kit for kit in range(KITS) if kit not in kits and good[kit]]
        for place, kit in enumerate(kits):
            if not good[kit] and spare:
                kits[place] = spare.pop()

    def _tasks(
        self, now: datetime, meetings: list[Window], booked: list[list[int]], sure: float
    ) -> list[Task]:
        hours = supervised(now, meetings[-1].start)
        tasks: list[Task] = []
        for kit in range(KITS):
            uses = [w for w, kits in zip(meetings, booked, strict=True) if kit in kits]
            if uses:
                tasks += needs(
                    KitId(kit),
                    at(self.past[kit], now).belief,
                    uses,
                    now,
                    curve=CURVE,
                    driving_percent=DRIVING_PERCENT,
                    hours=hours,
                    sure=sure,
                ).tasks
        return tasks

    def _lot(self, lot: list[tuple[int, Window]]) -> None:
        """Put batteries on together; sometimes there is no current, and not always is it seen."""
        self.tally.walks[-1] += 1
        dead = self.rng.random() < self.world.unplugged
        if dead and self.habit == "bot":
            dead = self.rng.random() >= self.world.noticed
        for kit, window in lot:
            cell = self.cells[kit]
            minutes = window.length / _HOUR * 60
            if dead:
                cell.mishap = "no current"
            else:
                self.tally.bay_hours[-1] += charge(cell, minutes) / 60
            told = Detail(percent=99, minutes=round(minutes))
            self._hear(kit, EntryKind.CHARGED, window.end, told)

    # -- a meeting --------------------------------------------------------------------------------

    def _meet(self, window: Window, booked: list[int]) -> None:
        kits = self._ready(window, booked) if self.habit == "bot" else dict.fromkeys(booked, 1.0)
        went = {}
        for kit, chance in kits.items():
            self._hear(kit, EntryKind.GIVEN_OUT, window.start)
            went[kit] = use(self.rng, self.world, self.cells[kit], window)
            self._count(self.cells[kit], went[kit].flat_after, went[kit].end_level, chance)
            self._hear(kit, EntryKind.TAKEN_BACK, window.end)
            if went[kit].flat_after is not None or went[kit].flat_at_start:
                self.low.add(kit)
            seen = went[kit].end_level + self.rng.normal(0, 0.1)
            if seen < _SHOWS_LOW:
                self.low.add(kit)
        for kit, kind, detail in reports(self.rng, self.world, went).said:
            self._hear(kit, kind, window.end, detail)
        self._judge()

    def _ready(self, window: Window, booked: list[int]) -> dict[int, float]:
        """Return the kits that are given out, with the stated chances; ready ones where any are."""
        drive = used(window, DRIVING_PERCENT)
        chance = {
            kit: at(self.past[kit], window.start).belief.lasts(drive.minutes, drive.idle)
            for kit in range(KITS)
        }
        spare = [kit for kit in range(KITS) if kit not in booked and chance[kit] >= SURE]
        kits = [spare.pop() if chance[kit] < SURE and spare else kit for kit in booked]
        return {kit: chance[kit] for kit in kits}

    def _count(self, cell: Battery, flat: float | None, end: float, chance: float) -> None:
        tally = self.tally
        tally.uses += 1
        tally.stated.append((chance, flat is None))
        touched = flat is not None or end < NEARLY
        cell.touched += touched
        if chance < SURE:
            cell.spoiled += flat is not None
            return
        tally.ready += 1
        if flat is None:
            return
        if cell.weak and not cell.spoiled:
            tally.revealed += 1
        else:
            tally.spoiled += 1
            tally.flat_at_start += flat < 1
            tally.causes["weak" if cell.weak else cell.mishap or "drove more"] += 1
        cell.spoiled += 1

    def _judge(self) -> None:
        if self.habit != "bot":
            return
        for kit, cell in enumerate(self.cells):
            if self._verdict(kit) in ("weak", "short uses"):
                self.tally.accused += cell.healthy
                self.tally.between += not cell.healthy and not cell.weak
                self._settle(cell, found=True)
                self.cells[kit] = battery(self.rng, self.world, healthy=True)
                self.past[kit] = begun(USUAL_MINUTES, DRIVING_PERCENT, CURVE)

    def _verdict(self, kit: int) -> str:
        return health(self.past[kit].known.belief, _ASKED).verdict

    def _settle(self, cell: Battery, *, found: bool) -> None:
        """Count a weak battery once its fate is known."""
        if not cell.weak:
            return
        self.tally.weak += 1
        self.tally.missed += not found
        if found and cell.touched <= 3:
            self.tally.found += 1
        elif not found and cell.touched < 3:
            self.tally.open += 1
