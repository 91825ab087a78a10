"""StandIn: the whole stand-in as one object, for tests and for the demo."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any, TypeVar

from aiohttp import web

from . import server
from .control import add_control
from .engine import Bot, Platform, Validator, bot_id, real_time
from .faults import Faults
from .files import Files
from .journal import Call, Journal
from .membership import MembershipActions, add_group
from .methods import METHODS
from .methods.commands import shown_commands
from .parameters import Params, as_text
from .people import PeopleActions
from .updates import UpdateQueue
from .webhook import Webhook, loopback_host
from .world import Chat, Message, Person, Standing, Where, Who, World

Found = TypeVar("Found")
TOKEN = "424242:loopback-stand-in-token-AAAAAAAAAAAA"
POISON = {"message": {"message_id": 1, "text": "a message without a chat and a date"}}


class StandIn(PeopleActions, MembershipActions):
    """A loopback Bot API with people in it.

    Create it, `await start()`, point a bot at `base_url` (and `base_file_url`) with `token`, let
    people act, look at `calls` and `messages()`. Everything happens in the event loop that
    `start` was awaited in; all methods but the awaited ones must be called from there.
    """

    def __init__(
        self,
        now: Callable[[], datetime] | None = None,
        token: str = TOKEN,
        username: str = "club_kit_bot",
        name: str = "Kit bot",
        *,
        privacy: bool = True,
        validator: Validator | None = None,
        webhook_pause: float = 1.0,
    ) -> None:
        """`now`: the clock for message dates, aware; real time if left out.

        `webhook_pause`: real seconds before the first repeat of a failed delivery.
        """
        self._now = now or real_time
        self.token = token
        faults = Faults()
        updates = UpdateQueue(self.now, faults)
        self.platform = Platform(
            token, Bot(bot_id(token), name, username, privacy), self.now, World(), updates,
            faults, Journal(), Files(), validator=validator,
        )  # fmt: skip
        self.platform.webhook = Webhook(updates, self.now, self._execute, webhook_pause)
        updates.polled = self.platform.journal.touch
        self._runner: web.AppRunner | None = None

    # -- running -------------------------------------------------------------------------------

    async def start(
        self,
        port: int = 0,
        host: str = "127.0.0.1",
        *,
        extend: Callable[[web.Application], None] | None = None,
    ) -> str:
        """Listens on a loopback address (port 0: any free one) and returns `base_url`.

        `extend` may add routes of its own to the server. Any other address raises ValueError.
        """
        if not loopback_host(host):
            raise ValueError("the stand-in listens on loopback addresses only")
        app = server.application(self.platform)
        add_control(app, self)
        if extend:
            extend(app)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
        await self._runner.setup()
        site = web.TCPSite(self._runner, host, port)
        await site.start()
        bound = self._runner.addresses[0]
        shown = f"[{bound[0]}]" if ":" in bound[0] else bound[0]
        self.platform.base_url = f"http://{shown}:{bound[1]}"
        return self.base_url

    async def stop(self) -> None:
        """Ends long polls and deliveries and closes the port."""
        self.platform.updates.close()
        self.platform.journal.touch()
        await self.platform.webhook.finish()
        if self._runner:
            await self._runner.cleanup()
            self._runner = None

    async def __aenter__(self) -> StandIn:
        await self.start()
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.stop()

    @property
    def base_url(self) -> str:
        """The address of the server, without a slash at the end."""
        return self.platform.base_url

    @property
    def bot_url(self) -> str:
        """What python-telegram-bot takes as `base_url` (the token is appended to it)."""
        return f"{self.base_url}/bot"

    @property
    def file_url(self) -> str:
        """What python-telegram-bot takes as `base_file_url`."""
        return f"{self.base_url}/file/bot"

    def now(self) -> datetime:
        """The moment by the stand-in's clock."""
        return self._now()

    def set_clock(self, now: Callable[[], datetime] | datetime) -> None:
        """Another clock, or a clock that stands still at a moment."""
        if isinstance(now, datetime):
            moment = now
            if moment.tzinfo is None:
                raise ValueError("a moment needs its offset from UTC")
            self._now = lambda: moment
        else:
            self._now = now
        self.platform.journal.event("clock", now=self.now().isoformat())

    # -- the cast ------------------------------------------------------------------------------

    def add_person(
        self,
        name: str,
        *,
        username: str | None = None,
        language: str = "en",
        started: bool = False,
        id: int | None = None,
    ) -> Person:
        """A new person; a name of two words is first and last name.

        `started`: they have opened the private chat before, so the bot may write first.
        """
        first, _, last = name.partition(" ")
        return self.platform.world.add_person(
            first, last_name=last or None, username=username, language_code=language,
            started=started, id=id,
        )  # fmt: skip

    def add_group(
        self,
        title: str,
        members: Iterable[Who] = (),
        *,
        admins: Iterable[Who] = (),
        topics: Iterable[str] = (),
        supergroup: bool = False,
        bot: bool | str = True,
        announce: bool = True,
    ) -> Chat:
        """A new group; the first member made it. Topics make it a supergroup with topics.

        `bot`: True (a member), "administrator", or False (not there). `announce` False: the bot
        was there before anybody looked, so it gets no update of having been added.
        """
        world = self.platform.world
        chat = add_group(
            self.platform, title, [world.person(who) for who in members],
            [world.person(who) for who in admins], list(topics), supergroup=supergroup,
        )  # fmt: skip
        if bot and announce:
            self.add_bot(chat, admin=bot == "administrator")
        elif bot:
            admin = bot == "administrator"
            chat.bot = Standing.ADMINISTRATOR if admin else Standing.MEMBER
            chat.bot_reads_all = not self.platform.bot.privacy
        return chat

    # -- watching ------------------------------------------------------------------------------

    @property
    def calls(self) -> list[Call]:
        """Every request of the bot but getUpdates, oldest first."""
        return self.platform.journal.calls

    @property
    def faults(self) -> Faults:
        """Where trouble is ordered."""
        return self.platform.faults

    @property
    def updates(self) -> UpdateQueue:
        """The queue of updates: `polls`, `allowed`, `waiting`."""
        return self.platform.updates

    def calls_of(self, method: str) -> list[Call]:
        """The requests of one method, oldest first."""
        return [call for call in self.calls if call.method == method]

    def messages(self, chat: Where, *, thread: int | None = None) -> list[Message]:
        """The messages that one sees in a chat now, oldest first; a person's: their private one."""
        shown = self.platform.world.chat(chat).visible
        return [m for m in shown if thread is None or m.thread == thread]

    def last(self, chat: Where) -> Message:
        """The newest message that one sees in a chat."""
        return self.messages(chat)[-1]

    def commands_shown(self, person: Who, chat: Where | None = None) -> list[dict[str, str]]:
        """The command list that a person's client shows in a chat."""
        who = self.platform.world.person(person)
        where = self.platform.world.chat(who if chat is None else chat)
        return shown_commands(
            self.platform, where.id, who.id, private=where.private,
            admin=where.members.get(who.id, Standing.LEFT).admin,
            language=who.language_code or "",
        )  # fmt: skip

    async def wait_for(
        self,
        predicate: Callable[[], Found],
        timeout: float = 5.0,  # noqa: ASYNC109
        what: str = "",
    ) -> Found:
        """The first true value of `predicate`, looked at after every change.

        Raises TimeoutError, with the last calls, after `timeout` real seconds.
        """
        return await self.platform.journal.wait_for(predicate, timeout, what)

    async def wait_for_text(
        self,
        chat: Where,
        fragment: str,
        timeout: float = 5.0,  # noqa: ASYNC109
    ) -> Message:
        """The newest visible message of the bot in a chat with this fragment in it."""

        def found() -> Message | None:
            fits = (m for m in reversed(self.messages(chat)) if m.from_bot and fragment in m.text)
            return next(fits, None)

        message = await self.wait_for(found, timeout, f"a message with {fragment!r}")
        if message is None:
            raise TimeoutError(fragment)
        return message

    async def idle(self, settle: float = 0.1, timeout: float = 10.0) -> None:  # noqa: ASYNC109
        """Returns when the bot has fetched all updates and has asked for nothing for a while.

        `settle`: that many real seconds without a request, with no request under way.
        """
        journal, loop = self.platform.journal, asyncio.get_running_loop()
        end = loop.time() + timeout
        while True:
            seen = (len(journal.calls), self.updates.next_id)
            await asyncio.sleep(settle)
            quiet = not self.updates.waiting and not journal.open_calls
            if quiet and seen == (len(journal.calls), self.updates.next_id):
                return
            if loop.time() > end:
                raise TimeoutError(
                    f"not idle within {timeout} s: {len(self.updates.waiting)} updates wait,"
                    f" {journal.open_calls} requests are under way"
                )

    # -- raw updates ---------------------------------------------------------------------------

    def push(self, raw_update: dict[str, Any]) -> int:
        """Queues an update exactly as given (an id is added if it has none); returns its id."""
        return int(self.updates.add_raw(dict(raw_update))["update_id"])

    def poison(self) -> int:
        """Queues an update that the bot's library can't parse; returns its id."""
        return self.push(POISON)

    async def _execute(self, method: str, values: dict[str, Any]) -> Any:
        known = METHODS.get(method.lower())
        if known is None:
            return None
        params = Params({name: as_text(value) for name, value in values.items()})
        return await server.execute(self.platform, known[0], params)
