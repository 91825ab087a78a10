"""The only place that wires: settings in, a running bot out, and everything closed at the end."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from telegram import Bot
from telegram.error import InvalidToken

from clubbot import control
from clubbot.chat import handlers, router, webhook
from clubbot.chat.delivered import DeliveryBook
from clubbot.chat.gate import Gate
from clubbot.chat.intake import AnyApplication, Intake
from clubbot.chat.notices import deliver
from clubbot.chat.pace import DEFAULT_PER_SECOND, Pace
from clubbot.chat.polling import KEPT_BY_PLATFORM, Polling, warn_of_loss
from clubbot.chat.post import Post
from clubbot.clock import Clock, RealClock, SteppedClock, real_now
from clubbot.connect import NOT_ACCEPTED, address_in_use, application_for, insist
from clubbot.desk import fetched, minding, people, sending, sweep, upkeep
from clubbot.desk.club import first_code
from clubbot.reminders.feed import Feeds, FeedWork
from clubbot.reminders.jobs import Jobs, Work
from clubbot.rules.sending import Outcome
from clubbot.settings import CannotRun, Settings
from clubbot.store import updates
from clubbot.store.engine import Store, StoreUnavailable

log = logging.getLogger(__name__)

THREADS = 12
FINISH_ANSWERS, FINISH_NOTICES = 5.0, 2.0
"""Seconds that a stop leaves for what is in hand; services are killed after ten."""


@dataclass(frozen=True, slots=True)
class Running:
    """A bot at work; `stepper` moves its clock where that is a stepped one."""

    application: AnyApplication
    intake: Intake
    jobs: Jobs[Any]
    stepper: control.Stepper | None
    fetching: asyncio.Task[None] | None

    async def until_failure(self) -> None:
        """Return never; raises CannotRun once the platform doesn't accept the token any more."""
        if self.fetching is None:
            await asyncio.Event().wait()
            return
        try:
            await asyncio.shield(self.fetching)
        except InvalidToken:
            raise CannotRun(NOT_ACCEPTED) from None


def clock_for(settings: Settings) -> Clock:
    """Return the club's clock: the real one, unless a stepped one is asked for."""
    return SteppedClock(settings.clock) if settings.clock else RealClock()


@asynccontextmanager
async def running(
    settings: Settings, store: Store, clock: Clock, say: Callable[[str], None] = log.info
) -> AsyncIterator[Running]:
    """Run a bot for as long as the block lasts; on leaving, finish what is in hand and close."""
    application = application_for(settings)
    async with AsyncExitStack() as stack:
        stack.push_async_callback(application.bot.shutdown)
        stack.push_async_callback(application.shutdown)
        await insist(application.initialize, refused=NOT_ACCEPTED)
        asyncio.get_running_loop().set_default_executor(ThreadPoolExecutor(THREADS, "desk"))
        inbox = updates.Inbox(store, application.bot.id)
        seen = await asyncio.to_thread(inbox.arrive, application.bot.username, clock.now())
        if seen and not settings.webhook_url and clock.now() - seen > KEPT_BY_PLATFORM:
            warn_of_loss(clock.now() - seen)
        if code := await asyncio.to_thread(first_code, store, clock.now()):
            say(_invite_leader(application.bot.username, code))
        bot = await _Wiring(stack, settings, store, clock, application).connect(inbox)
        log.info("@%s is at work", application.bot.username)
        yield bot


@dataclass(frozen=True, slots=True)
class _Wiring:
    stack: AsyncExitStack
    settings: Settings
    store: Store
    clock: Clock
    application: AnyApplication

    async def connect(self, inbox: updates.Inbox) -> Running:
        """Start everything, in the order in which it must not stop."""
        post = self._post()
        delivery_book = await self._delivery_book(post)
        jobs = Jobs(self._work(post))
        feeds = self._feeds(jobs)
        intake = self._intake(inbox, jobs, feeds)
        post.step_aside = intake.step_aside
        gate = Gate(self.store, self.clock, self._bot.id, self._bot.username)
        handlers.register(self.application, gate, post, delivery_book.typed)
        await self.application.start()
        self.stack.push_async_callback(self.application.stop)
        self.stack.push_async_callback(jobs.stop, FINISH_NOTICES)
        self.stack.push_async_callback(intake.stop, FINISH_ANSWERS)
        if left := await intake.replay():
            log.info("%d updates from the last run are handled first", left)
        await asyncio.to_thread(sending.take_up_again, self.store)
        jobs.start()
        poller = await self._connected(intake)
        fetching = self._beside(poller.run()) if poller else None
        self._beside(self._show_menu())
        self._beside(feeds.run())
        self._beside(delivery_book.run())
        stepper = await self._stepper(intake, jobs, feeds, poller, delivery_book)
        return Running(self.application, intake, jobs, stepper, fetching)

    @property
    def _bot(self) -> Bot:
        return self.application.bot  # type: ignore[no-any-return]

    def _post(self) -> Post:
        rate = self.settings.sends_per_second
        if rate is None and self.settings.real:
            rate = DEFAULT_PER_SECOND

        async def on_blocked(chat_id: int) -> None:
            await asyncio.to_thread(people.unreachable, self.store, chat_id, self.clock.now())

        async def on_migrated(old: int, new: int) -> None:
            await asyncio.to_thread(people.group_moved, self.store, old, new)

        return Post(
            self._bot,
            pace=Pace(rate) if rate else None,
            on_blocked=on_blocked,
            on_migrated=on_migrated,
        )

    async def _delivery_book(self, post: Post) -> DeliveryBook:
        before = await asyncio.to_thread(minding.last_buttons, self.store)
        delivery_book = DeliveryBook(partial(minding.note, self.store), self.clock.now, before)
        post.took = delivery_book.took
        self.stack.push_async_callback(delivery_book.flush)
        return delivery_book

    def _work(self, post: Post) -> Work[sending.Owed]:
        store, now = self.store, self.clock.now
        return Work(
            sweep=lambda: sweep.sweep(store, now()),
            lease=lambda limit: sending.lease(store, now(), real_now(), limit),
            deliver=lambda owed: deliver(store, post, owed, now()),
            mark=lambda owed, outcome: _mark(store, owed, outcome, now()),
            settled=lambda: sending.nothing_owed(store, now()),
            upkeep=lambda: upkeep.tidy(store, now()),
            outage=StoreUnavailable,
        )

    def _feeds(self, jobs: Jobs[sending.Owed]) -> Feeds:
        store, now = self.store, self.clock.now
        work = FeedWork(
            due=lambda: fetched.due(store, now()),
            take_in=lambda asked, found: fetched.take_in(store, asked, found, now()),
            after=jobs.nudge,
            outage=StoreUnavailable,
        )
        # A stand-in's school may be on this machine, as the stand-in itself is.
        return Feeds(work, allow_loopback=not self.settings.real)

    def _intake(self, inbox: updates.Inbox, jobs: Jobs[sending.Owed], feeds: Feeds) -> Intake:
        worker = ThreadPoolExecutor(1, "inbox")
        self.stack.callback(worker.shutdown)

        def handled() -> None:
            jobs.nudge()
            feeds.nudge()

        return Intake(
            self.application,
            inbox,
            now=self.clock.now,
            worker=worker,
            outage=StoreUnavailable,
            handled=handled,
        )

    async def _connected(self, intake: Intake) -> Polling | None:
        settings = self.settings
        if not settings.webhook_url:
            with suppress(CannotRun):
                await insist(self._bot.delete_webhook)
            patient = not isinstance(self.clock, SteppedClock)
            return Polling(self._bot, intake, outage=StoreUnavailable, patient=patient)
        assert settings.webhook_secret is not None  # noqa: S101 - settings saw to it
        url, secret = settings.webhook_url, settings.webhook_secret.get_secret_value()
        host, port = settings.webhook_listen
        with address_in_use("CLUBBOT_WEBHOOK_LISTEN", host, port):
            await webhook.listen(
                self.stack,
                intake,
                url=url,
                secret=secret,
                host=host,
                port=port,
                outage=StoreUnavailable,
            )
        await insist(
            lambda: webhook.announce(self._bot, url, secret),
            refused="Telegram refuses CLUBBOT_WEBHOOK_URL",
        )
        return None

    async def _stepper(
        self,
        intake: Intake,
        jobs: Jobs[sending.Owed],
        feeds: Feeds,
        poller: Polling | None,
        delivery_book: DeliveryBook,
    ) -> control.Stepper | None:
        if not isinstance(self.clock, SteppedClock):
            return None

        async def catch_up() -> None:
            if poller:
                await poller.catch_up()
            await intake.idle()

        async def settle() -> None:
            await feeds.settle()
            await jobs.settle()
            await intake.idle()
            await delivery_book.flush()

        stepper = control.Stepper(
            self.clock,
            catch_up=catch_up,
            settle=settle,
            next_moment=lambda after, until: _next_moment(self.store, after, until),
        )
        if listen := self.settings.clock_listen:
            with address_in_use("CLUBBOT_CLOCK_LISTEN", *listen):
                await control.listen(self.stack, stepper, *listen)
        return stepper

    async def _show_menu(self) -> None:
        try:
            for scope, commands in router.commands():
                await insist(
                    partial(self._bot.set_my_commands, commands, scope=scope),
                    refused="Telegram refuses the list of commands",
                )
        except CannotRun as error:
            log.error("%s", error)

    def _beside(self, work: Coroutine[Any, Any, None]) -> asyncio.Task[None]:
        """Run something until the bot stops."""
        task = asyncio.create_task(work)

        async def end() -> None:
            task.cancel()
            await asyncio.gather(task, return_exceptions=True)

        self.stack.push_async_callback(end)
        return task


def _next_moment(store: Store, after: datetime, until: datetime) -> datetime | None:
    found = (sweep.next_moment(store, after, until), fetched.next_moment(store, after, until))
    return min((moment for moment in found if moment is not None), default=None)


def _invite_leader(username: str, code: str) -> str:
    return (
        "Nobody leads a club here yet. To become its leader, open "
        f"https://t.me/{username}?start={code} or send the bot: /start {code}"
    )


def _mark(store: Store, owed: sending.Owed, outcome: Outcome | None, now: datetime) -> None:
    if outcome is None:
        sending.drop(store, owed)
    else:
        sending.mark(store, owed, outcome, now, real_now())
