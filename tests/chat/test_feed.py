"""The school's calendar in chat, with the whole bot, a stepped clock and a school's server."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from aiohttp import web

from clubbot import app
from clubbot.chat.letters import letters_of
from clubbot.chat.words.phrases import Reply
from clubbot.clock import SteppedClock
from clubbot.rules.model import Role
from clubbot.settings import Settings
from clubbot.store import clubs, kits, people
from clubbot.store.engine import Store
from demo.standin import Person, StandIn
from tests.rules.feeds.calendars import calendar, event

ZONE = ZoneInfo("Europe/Dublin")
START = datetime(2026, 10, 5, 12, 0, tzinfo=ZONE)
MID_TERM = event("Mid-term break", "20261026", "20261031")
ADA = 700_000_001


class Club:
    """A bot at work, its leader Ada, and what her school's calendar holds."""

    def __init__(self, standin: StandIn, ada: Person, bot: app.Running, address: str) -> None:
        self.standin, self.ada, self.address = standin, ada, address
        self.now = START
        assert bot.stepper is not None
        self.stepper = bot.stepper
        self.holds = calendar(MID_TERM)

    async def later(self, **by: float) -> list[str]:
        """Move the clock on; return what the bot has said by then since the last time."""
        before = len(self.standin.messages(self.ada))
        self.now += timedelta(**by)
        await self.stepper.advance(self.now)
        return [m.text for m in self.standin.messages(self.ada)[before:] if m.from_bot]

    async def says(self, text: str) -> list[str]:
        self.standin.say(self.ada, text)
        return await self.later(seconds=1)


def found(store: Store) -> None:
    with store.write() as tx:
        club = clubs.found(tx, "Robot club", "Europe/Dublin", START)
        ada = people.add(tx, club, ADA, "Ada", Role.LEADER, START)
        clubs.add_meeting(tx, club, 0, time(16), time(17, 30), ada)
        clubs.add_team(tx, club, "Red")
        kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), "ABCDEF")


@pytest.fixture
async def club(store: Store, unused_tcp_port: int) -> AsyncIterator[Club]:
    found(store)

    async def school(_: web.Request) -> web.Response:
        return web.Response(text=here.holds, content_type="text/calendar")

    server = web.Application()
    server.router.add_get("/cal.ics", school)
    runner = web.AppRunner(server, access_log=None, handle_signals=False)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", unused_tcp_port).start()
    clock = SteppedClock(START)
    async with StandIn(now=clock.now) as standin:
        ada = standin.add_person("Ada", started=True, id=ADA)
        settings = Settings(
            _env_file=None, token=standin.token, api_url=standin.base_url, clock=START
        )
        async with app.running(settings, store, clock) as bot:
            here = Club(standin, ada, bot, f"http://127.0.0.1:{unused_tcp_port}/cal.ics")
            yield here
    await runner.cleanup()


async def test_a_leader_hears_of_closed_days_is_asked_about_bookings_and_decides(
    club: Club,
) -> None:
    (booked,) = await club.says("/book 2 kits for Red mon 26 oct 16:00 to 17:30")
    assert booked.startswith("Booked")
    reading, told = await club.says(f"/feed {club.address}")
    assert "127.0.0.1" in reading
    assert "26 to 30 Oct: Mid-term break" in told
    assert "This booking starts then and still stands" in told
    assert [b.text for b in club.standin.last(club.ada).buttons] == ["Cancel it", "Keep it"]
    club.standin.press(club.ada, club.standin.last(club.ada), "Cancel it")
    await club.later(seconds=1)
    assert club.standin.last(club.ada).text == "1 booking cancelled; those concerned are told."
    (shown,) = await club.says("/feed")
    assert "26 to 30 Oct: Mid-term break" in shown
    club.standin.press(club.ada, club.standin.last(club.ada), "Open 26 to 30 Oct")
    await club.later(seconds=1)
    assert "Left open, as you said:" in club.standin.last(club.ada).text


async def test_a_broken_calendar_is_told_of_once_and_changes_nothing(club: Club) -> None:
    await club.says(f"/feed {club.address}")
    club.holds = "<html>Down for maintenance</html>"
    heard = [text for text in await club.later(hours=13) if "calendar" in text]
    assert len(heard) == 1
    assert "what is there is no calendar" in heard[0]
    assert "What it said today 12:00 stands" in heard[0]
    club.holds = calendar(MID_TERM, event("Staff day: no school", "20261012"))
    heard = [text for text in await club.later(hours=6) if "calendar" in text]
    assert len(heard) == 1
    assert "Mon 12 Oct: Staff day: no school" in heard[0]
    (refused,) = await club.says("/book 1 kit for Red mon 12 oct 16:00 to 17:30")
    assert "no club" in refused


async def test_an_address_that_is_none_gets_one_line_of_help(club: Club) -> None:
    (said,) = await club.says("/feed our website")
    assert said == "Which calendar? Its address, such as: /feed https://school.example/calendar.ics"


async def test_the_bookings_come_as_a_file_that_a_calendar_reads(club: Club) -> None:
    (nothing,) = await club.says("/ics")
    assert nothing == "There are no bookings to come, so there is no file to send."
    await club.says("/book 2 kits for Red mon 12 oct 16:00 to 17:30")
    (caption,) = await club.says("/ics")
    assert caption.startswith("The club's 1 booking to come")
    (call,) = club.standin.calls_of("sendDocument")
    (content,) = call.files.values()
    read = vobject.readOne(content.decode(), validate=True)
    assert read.vevent.summary.value == "2 kits for Red"
    assert read.vevent.dtstart.value == datetime(2026, 10, 12, 16, 0, tzinfo=ZONE)
    document = club.standin.last(club.ada).content["document"]
    assert document["file_name"] == "bookings.ics"


def test_a_file_comes_with_its_words_or_before_them_where_they_are_long() -> None:
    short = letters_of(Reply("For your calendar.", document=("a.ics", b"x")), 1)
    assert [(each.text, each.document) for each in short] == [
        ("For your calendar.", ("a.ics", b"x"))
    ]
    long = letters_of(Reply("word " * 400, document=("a.ics", b"x")), 1)
    assert [each.document for each in long] == [("a.ics", b"x"), None]
    assert long[0].text == ""
