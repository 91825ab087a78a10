"""A club at work, as people see it: the whole bot over loopback HTTP, on a stepped clock.

    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    club.sees("Sam", "Booked: 2 kits", "Fri 16 Oct")     what the bot did about it, in that chat
    await club.presses("Sam", "Cancel it")
    club.hears_nothing("Nora")
    await club.at("2026-10-16 15:30")                    all that is due by then happens

The cast: Nora leads, Owen is another adult, Hana helps, Sam is a student in Red, Bea one in Blue,
Dora is the phone at the door, Zed is a stranger. Kits A to H; Fridays 15:30 and Mondays 16:00.
"""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.event import listen

from clubbot import app
from clubbot.clock import SteppedClock
from clubbot.rules.model import Role
from clubbot.rules.settings import ClubSettings
from clubbot.settings import Settings
from clubbot.store import clubs, kits, people, schema
from clubbot.store.engine import Store
from demo.standin import Chat, Message, Person, StandIn
from demo.standin.outside import OutsideCheck

ZONE = ZoneInfo("Europe/Dublin")
START = datetime(2026, 10, 15, 10, tzinfo=ZONE)  # a Thursday; the clocks go back on Sunday the 25th
CAST = (
    ("Nora", Role.LEADER, ""),
    ("Owen", Role.CO_LEADER, ""),
    ("Hana", Role.HELPER, ""),
    ("Sam", Role.STUDENT, "Red"),
    ("Bea", Role.STUDENT, "Blue"),
    ("Dora", Role.DOOR, ""),
    ("Zed", Role.STRANGER, ""),
)
FIRST_ID = 700_000_001
GROUP = "Robot club chat"


def found_club(file: Path) -> None:
    """Make the club's database, as its leader would have set it up."""
    store = Store(f"sqlite:///{file.as_posix()}")
    schema.upgrade(store)
    with store.write() as tx:
        club = clubs.found(tx, "Robot club", str(ZONE), START)
        teams = {name: clubs.add_team(tx, club, name) for name in ("Red", "Blue", "Green")}
        for place, (name, role, team) in enumerate(CAST):
            if role is Role.STRANGER:
                continue
            person = people.add(tx, club, FIRST_ID + place, name, role, START)
            if team:
                people.put_in_team(tx, club, person, teams[team].id)
            if role is Role.LEADER:
                clubs.add_meeting(tx, club, 4, time(15, 30), time(17), person)
                clubs.add_meeting(tx, club, 0, time(16), time(17, 30), person)
        kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), list("ABCDEFGH"))
        settings = ClubSettings(
            zone_set=True,
            contact="Nora Quinn",
            accounts="with",
            students_confirmed_on="2026-09-01",
        )
        clubs.change(tx, club, settings=settings.changed())
    store.close()


@dataclass(frozen=True)
class Seen:
    """Something that the bot did in a chat: a new message, a changed one or a passing note."""

    chat: Chat
    how: str
    text: str
    buttons: list[str]
    message: Message | None = None

    @property
    def silent(self) -> bool:
        """Whether it is today's list that was brought up to date in place: nobody is notified."""
        return self.how == "edit" and self.text.startswith("Today")


@dataclass
class Club:
    """A running bot and the people who write to it."""

    standin: StandIn
    store: Store
    clock: SteppedClock
    cast: list[Person] = field(default_factory=list)
    group: Chat | None = None
    code: str = ""
    trouble: bool = False
    """Whether a test brings about what the log then calls an error."""
    _looked_to: int = 0
    _news: list[Seen] = field(default_factory=list)
    _stack: AsyncExitStack = field(default_factory=AsyncExitStack)
    _running: app.Running | None = None

    # -- the bot ---------------------------------------------------------------------------------

    async def start(self) -> None:
        """Start the bot, or start it again on the same database."""
        settings = Settings(_env_file=None, token=self.standin.token, api_url=self.standin.base_url)
        self._running = await self._stack.enter_async_context(
            app.running(settings, self.store, self.clock, self._say)
        )
        await self.settle()

    def _say(self, line: str) -> None:
        self.code = line.rpartition(" ")[2]

    @property
    def running(self) -> app.Running:
        assert self._running is not None
        return self._running

    async def stop(self) -> None:
        await self._stack.aclose()

    async def restart(self) -> None:
        await self.stop()
        await self.start()

    async def settle(self) -> None:
        """Return when all that was said is handled, and all that is owed by now is sent."""
        await self._advance(self.clock.now())

    async def at(self, wall: str) -> None:
        """Move the clock to a wall time of the club."""
        await self._advance(datetime.fromisoformat(wall).replace(tzinfo=ZONE))

    async def _advance(self, to: datetime) -> None:
        assert self.running.stepper is not None
        await self.running.stepper.advance(to.astimezone(UTC))
        self._news = self._look()

    # -- what people do --------------------------------------------------------------------------

    async def says(
        self,
        who: str,
        text: str,
        chat: Chat | None = None,
        *,
        to: Message | None = None,
        thread: str | None = None,
    ) -> None:
        """Somebody writes; without a chat, to the bot alone."""
        self.standin.say(who, text, chat, reply_to=to, thread=thread)
        await self.settle()

    async def shows(self, who: str, caption: str = "", chat: Chat | None = None) -> None:
        """Somebody sends a photo."""
        self.standin.send_photo(who, None, chat, caption=caption)
        await self.settle()

    async def presses(self, who: str, label: str, chat: Chat | None = None) -> None:
        """Somebody presses the newest button with that text."""
        self.standin.press(who, self.with_button(label, chat or self.private(who)), label)
        await self.settle()

    async def sends_data(self, who: str, data: str, chat: Chat | None = None) -> None:
        """Somebody's client sends what no button of theirs says, or no longer."""
        message = next(m for m in reversed((chat or self.private(who)).visible) if m.from_bot)
        self.standin.press(who, message, data, stale=True)
        await self.settle()

    async def opens(self, who: str, link: str) -> None:
        self.standin.follow(who, link)
        await self.settle()

    # -- what they see ---------------------------------------------------------------------------

    def private(self, who: str) -> Chat:
        return self.standin.platform.world.chat(self.standin.platform.world.person(who))

    def with_button(self, label: str, chat: Chat) -> Message:
        for message in reversed(chat.visible):
            if any(button.text == label for button in message.buttons):
                return message
        shown = [b.text for m in chat.visible for b in m.buttons]
        raise AssertionError(f"there is no button {label!r}; there are {shown}")

    def news(self, where: str | Chat) -> list[Seen]:
        """What the bot did in a chat since somebody last did something."""
        chat = self.private(where) if isinstance(where, str) else where
        return [each for each in self._news if each.chat is chat]

    def sees(self, where: str | Chat, *fragments: str, how: str = "") -> Seen:
        """Return what the bot did in a chat that has all these fragments; fail if nothing has."""
        news = self.news(where)
        for each in news:
            if all(part in each.text for part in fragments) and how in ("", each.how):
                return each
        raise AssertionError(f"no {how} {fragments} in {where}, but {[n.text for n in news]}")

    def answers(self, where: str | Chat, *fragments: str) -> Seen:
        """Return the one thing that the bot did in a chat, lists kept up to date aside."""
        found = self.sees(where, *fragments)
        if [each for each in self.news(where) if not each.silent or each == found] != [found]:
            raise AssertionError(f"more than that: {[each.text for each in self.news(where)]}")
        return found

    def hears_nothing(self, where: str | Chat) -> None:
        """Fail if the bot did anything in a chat."""
        if said := [each.text for each in self.news(where) if not each.silent]:
            raise AssertionError(f"nothing was to be said in {where}, but {said} was")

    def all_said(self, where: str | Chat) -> str:
        """Return everything that the bot has ever written in a chat, as it stands now."""
        chat = self.private(where) if isinstance(where, str) else where
        return "\n".join(m.text for m in chat.visible if m.from_bot)

    def _look(self) -> list[Seen]:
        journal = self.standin.platform.journal
        found: dict[object, Seen] = {}
        for event in journal.events_after(self._looked_to):
            if event["kind"] in ("message", "edited"):
                message = self.standin.platform.world.chats[event["chat_id"]].messages[
                    event["message_id"]
                ]
                if message.from_bot and not message.service and not message.deleted:
                    new = event["kind"] == "message" or message in found
                    labels = [button.text for button in message.buttons]
                    seen = Seen(
                        message.chat, "new" if new else "edit", message.text, labels, message
                    )
                    found[message] = seen
            elif event["kind"] == "answer" and event["text"]:
                chat = self.standin.platform.world.chats[event["person_id"]]
                found[event["seq"]] = Seen(chat, "note", event["text"], [])
        self._looked_to = journal.last_event
        return list(found.values())


@asynccontextmanager
async def club_at_work(file: Path, *, privacy: bool = True) -> AsyncIterator[Club]:
    """Run the bot on a club's database; afterwards nothing that went in or out was objected to."""
    check = OutsideCheck()
    clock = SteppedClock(START)
    store = Store(f"sqlite:///{file.as_posix()}")
    listen(store.engine, "connect", _careless)
    async with StandIn(clock.now, privacy=privacy, validator=check) as standin:
        club = Club(standin, store, clock)
        club.cast = [standin.add_person(name, started=True) for name, _, _ in CAST]
        try:
            await club.start()
            yield club
        finally:
            await club.stop()
            store.close()
    assert check.objections == []


def _careless(connection: Any, _: object) -> None:
    """Don't wait for the disk: what a power cut leaves is tried elsewhere."""
    connection.execute("PRAGMA synchronous=OFF")


def no_trouble(records: list[logging.LogRecord]) -> list[str]:
    """Return what the bot itself logged as an error."""
    mine = [record for record in records if record.name.startswith("clubbot")]
    return [record.getMessage() for record in mine if record.levelno >= logging.ERROR]
