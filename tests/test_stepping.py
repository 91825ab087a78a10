"""A week on the stepped clock, with the whole bot: everything goes out when it is due, and once."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx
import pytest

from clubbot import app
from clubbot.clock import SteppedClock
from clubbot.rules.model import Role
from clubbot.settings import Address, Settings
from clubbot.store import clubs, kits, people, schema
from clubbot.store.engine import Store
from demo.standin import Person, StandIn

ZONE = ZoneInfo("Europe/London")
START = datetime(2026, 10, 19, 9, 0, tzinfo=ZONE)  # a Monday; the clocks go back on the 25th
END = datetime(2026, 10, 31, 12, 0, tzinfo=ZONE)
ADA = 700_000_001


@pytest.fixture(scope="module")
def club_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A club that meets on Mondays and Fridays, with twelve kits and a leader."""
    file = tmp_path_factory.mktemp("club") / "club.sqlite"
    store = Store(f"sqlite:///{file.as_posix()}")
    schema.upgrade(store)
    with store.write() as tx:
        club = clubs.found(tx, "Robot club", "Europe/London", START)
        ada = people.add(tx, club, ADA, "Ada", Role.LEADER, START)
        for weekday in (0, 4):
            clubs.add_meeting(tx, club, weekday, time(15, 30), time(17), ada)
        clubs.add_team(tx, club, "Red")
        kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), "ABCDEFGHIJKL")
    store.close()
    return file


class Week:
    """A running bot with a stepped clock, that the platform shares."""

    def __init__(self, standin: StandIn, ada: Person, bot: app.Running) -> None:
        self.standin = standin
        self.ada = ada
        assert bot.stepper is not None
        self.stepper = bot.stepper

    async def advance(self, to: datetime) -> None:
        await self.stepper.advance(to)

    def heard(self) -> list[tuple[datetime, str]]:
        """What Ada was told, and when on the club's own clocks."""
        return [
            (m.date.astimezone(ZONE), m.text) for m in self.standin.messages(self.ada) if m.from_bot
        ]


@asynccontextmanager
async def week(file: Path, listen: Address | None = None) -> AsyncIterator[Week]:
    clock = SteppedClock(START)
    store = Store(f"sqlite:///{file.as_posix()}")
    async with StandIn(now=clock.now) as standin:
        ada = standin.add_person("Ada", started=True, id=ADA)
        settings = Settings(
            _env_file=None,
            token=standin.token,
            api_url=standin.base_url,
            clock=START,
            clock_listen=listen,
        )
        async with app.running(settings, store, clock) as bot:
            yield Week(standin, ada, bot)
    store.close()


def copied(file: Path, to: Path) -> Path:
    to.write_bytes(file.read_bytes())
    return to


def bookings_of(week: Week) -> None:
    for said in (
        "/book 3 kits for Red fri 23 oct 15:30 to 17:00",
        "/book 2 kits for Red mon 26 oct 15:30 to 17:00",
        "/book 12 kits for Red fri 30 oct 15:30 to 17:00",
    ):
        week.standin.say(week.ada, said)


async def test_everything_goes_out_when_it_is_due_also_over_the_clock_change(
    club_file: Path, tmp_path: Path
) -> None:
    async with week(copied(club_file, tmp_path / "one.sqlite")) as here:
        bookings_of(here)
        await here.advance(START)
        booked = here.heard()
        assert sum(text.startswith("Booked") for _, text in booked) == 3, (
            "what was said before is handled before the clock moves"
        )
        await here.advance(END)
        told = here.heard()[len(booked) :]
    when = [at for at, _ in told]
    assert when == sorted(when)
    assert datetime(2026, 10, 22, 18, tzinfo=ZONE) in when, "the evening before the Friday"
    assert datetime(2026, 10, 25, 18, tzinfo=ZONE) in when, (
        "the evening before the Monday, in winter time"
    )
    mornings = [at.date().isoformat() for at in when if at.time() == time(8)]
    assert mornings == ["2026-10-23", "2026-10-26", "2026-10-30"]
    assert any("To charge" in text for _, text in told)
    assert len(set(told)) == len(told), "nothing is said twice"


async def test_one_leap_and_many_small_steps_say_the_same(club_file: Path, tmp_path: Path) -> None:
    async with week(copied(club_file, tmp_path / "leap.sqlite")) as leap:
        bookings_of(leap)
        await leap.advance(END)
        at_once = leap.heard()
    assert len(at_once) > 8
    async with week(copied(club_file, tmp_path / "steps.sqlite")) as steps:
        bookings_of(steps)
        moment = START
        while moment < END:
            await steps.advance(moment)
            moment += timedelta(hours=7, minutes=13)
        await steps.advance(END)
        assert steps.heard() == at_once


async def test_a_step_waits_for_what_the_platform_puts_off(club_file: Path, tmp_path: Path) -> None:
    async with week(copied(club_file, tmp_path / "late.sqlite")) as here:
        bookings_of(here)
        await here.advance(START)
        before = len(here.heard())
        here.standin.faults.add("retry_after", "sendMessage", seconds=1)
        await here.advance(datetime(2026, 10, 22, 18, 0, tzinfo=ZONE))
        assert len(here.heard()) > before


async def test_the_clock_is_moved_over_http(
    club_file: Path, tmp_path: Path, unused_tcp_port: int
) -> None:
    listen = Address("127.0.0.1", unused_tcp_port)
    async with (
        week(copied(club_file, tmp_path / "http.sqlite"), listen) as here,
        httpx.AsyncClient(base_url=f"http://127.0.0.1:{unused_tcp_port}", timeout=60) as client,
    ):
        assert (await client.get("/now")).json() == {"now": "2026-10-19T08:00:00+00:00"}
        bookings_of(here)
        moved = await client.post("/advance", json={"to": "2026-10-22T18:00+01:00"})
        assert (moved.status_code, moved.json()) == (200, {"now": "2026-10-22T17:00:00+00:00"})
        assert here.heard()[-1][0] == datetime(2026, 10, 22, 18, tzinfo=ZONE)
        for wrong in (
            {"to": "2026-10-22T17:59+01:00"},
            {"to": "2026-10-22T18:30"},
            {"to": "tomorrow"},
            {"to": 5},
            {},
            [],
        ):
            answer = await client.post("/advance", json=wrong)
            assert answer.status_code == 400
            assert set(answer.json()) == {"error"}
        broken = await client.post("/advance", content=b"{")
        assert broken.status_code == 400
        assert (await client.get("/now")).json() == {"now": "2026-10-22T17:00:00+00:00"}


def test_a_stepped_clock_never_goes_back() -> None:
    clock = SteppedClock(START)
    clock.set(START)
    with pytest.raises(ValueError, match="never goes back"):
        clock.set(START - timedelta(seconds=1))
    assert clock.now() == START.astimezone(UTC)
