"""What the desk answers on a run-time test day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.energy.survival import FleetRuns, RunTime
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class TestDayReady:
    """Before it begins: the kits to test, those that are not, each with why, and the last test."""

    __test__ = False

    kits: tuple[KitRef, ...]
    left: tuple[tuple[KitRef, str], ...]
    last: datetime | None


@dataclass(frozen=True, slots=True)
class TestDayRuns:
    """While it runs: which stopped after how many minutes, and which still run."""

    __test__ = False

    started_at: datetime
    stopped: tuple[tuple[KitRef, int], ...]
    running: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class TestDayLeft:
    """A test that nobody ended; `over`: nothing more is noted of what still ran."""

    __test__ = False

    runs: TestDayRuns
    over: bool


@dataclass(frozen=True, slots=True)
class TestLine:
    """One battery's test, the test before, and what to make of it."""

    __test__ = False

    kit: KitRef
    run: RunTime
    before: RunTime | None
    verdict: Literal["good", "unsure", "short uses", "weak"]


@dataclass(frozen=True, slots=True)
class TestDayOver:
    """The result.

    `need`: minutes of driving that a week's sessions ask of a battery; `session`: that one does.
    `fleet`: what half of those tested and nine in ten of them run, where that can be said.
    """

    __test__ = False

    started_at: datetime
    lines: tuple[TestLine, ...]
    need: int
    session: int
    fleet: FleetRuns
