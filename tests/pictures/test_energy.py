"""The pictures of charging and of run times: they open, are a phone wide, and show what is said."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

from clubbot.pictures.charging import charge_picture
from clubbot.pictures.run_times import fleet_picture, health_picture, test_picture
from clubbot.rules.energy.survival import FleetRuns, RunTime
from clubbot.rules.model import KitId, Window
from clubbot.rules.results import (
    BatteryHealth,
    ChargeStep,
    ChargeSteps,
    KitRef,
    OnNow,
    RunTimeLine,
    RunTimes,
    TestDayOver,
    TestLine,
)

test_picture.__test__ = False  # type: ignore[attr-defined]
ZONE = ZoneInfo("Europe/Dublin")
NOON = datetime(2026, 10, 19, 11, tzinfo=UTC)
KITS = [KitRef(KitId(number), f"K{number}") for number in range(1, 61)]


def _plan(number: int, bays: int, *, last: bool = True) -> ChargeSteps:
    hour = timedelta(hours=1)
    steps = tuple(
        ChargeStep(
            KITS[n],
            n % bays + 1,
            Window(NOON + n // bays * hour, NOON + (n // bays + 1) * hour),
            last,
        )
        for n in range(number)
    )
    on = (OnNow(KITS[-1], False, bays + 1, NOON + hour, 80),)
    return ChargeSteps(steps, (), (), (), bays, None, None, True, on=on)


def _opened(png: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(png))
    image.load()
    assert image.format == "PNG"
    assert image.width == 1080
    assert image.width + image.height <= 10_000, "the platform takes no more"
    assert image.height <= 20 * image.width
    assert len(png) < 400_000
    return image.convert("L")


@pytest.mark.parametrize(("number", "bays"), [(1, 1), (8, 3), (60, 12)])
def test_the_plan_is_drawn_for_every_size_of_fleet(number: int, bays: int) -> None:
    _opened(charge_picture(_plan(number, bays), ZONE))


def test_a_charge_to_be_resumed_looks_another_way_without_any_colour() -> None:
    whole = _opened(charge_picture(_plan(1, 1), ZONE))
    parted = _opened(charge_picture(_plan(1, 1, last=False), ZONE))
    assert _dark(whole, (1044, 170, 1052, 190)) > 0
    assert _dark(parted, (1044, 170, 1052, 190)) == 0, "its right end is open"


def _dark(image: Image.Image, box: tuple[int, int, int, int]) -> int:
    return sum(shade < 60 for shade in image.crop(box).tobytes())


def _over(minutes: int, *, ended: bool = True) -> TestDayOver:
    lines = (
        TestLine(KITS[0], RunTime(minutes, ended), RunTime(110), "good"),
        TestLine(KITS[1], RunTime(118), None, "good"),
    )
    return TestDayOver(NOON, lines, 60, 30, FleetRuns(None, None))


def test_a_bar_below_the_need_is_hatched() -> None:
    short, long = (_opened(test_picture(_over(minutes))) for minutes in (55, 65))
    assert _dark(short, (160, 145, 300, 170)) > 0
    assert _dark(long, (160, 145, 300, 170)) == 0


def test_the_bar_of_one_that_still_ran_is_open_to_the_right_and_never_hatched() -> None:
    at_end = 150 + 800 * 55 / (118 * 1.04)
    edge, inside = (int(at_end) - 4, 150, int(at_end) + 5, 170), (160, 145, 300, 170)
    stopped, ran_on = (_opened(test_picture(_over(55, ended=ended))) for ended in (True, False))
    assert (_dark(stopped, edge) > 0, _dark(stopped, inside) > 0) == (True, True)
    assert (_dark(ran_on, edge), _dark(ran_on, inside)) == (0, 0)


def test_a_fleet_and_a_battery_through_the_months_are_drawn() -> None:
    lines = tuple(RunTimeLine(kit, (100, 110, 120), "good") for kit in KITS)
    _opened(fleet_picture(RunTimes(lines, 60, FleetRuns(110, 100))))
    months = tuple((date(2026, month, 28), 50, 55, 60) for month in range(1, 13))
    for shown in (months, months[:1]):
        _opened(
            health_picture(
                BatteryHealth(
                    kit=KITS[0],
                    run=(50, 55, 60),
                    months=shown,
                    tests=((0, RunTime(55)), (0, RunTime(70, ended=False))),
                    others=(105, 115, 125),
                    need=80,
                    session=30,
                    below=97,
                    verdict="short uses",
                    ran_flat=2,
                    tested=RunTime(55),
                    warranty=None,
                    fault=None,
                    out_of_use=False,
                    short_minutes=None,
                )
            )
        )
