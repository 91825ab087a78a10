"""Updates over HTTP, from the stand-in's queue to a handler and back to a person's chat."""

from __future__ import annotations

import asyncio
import logging
import random
import sqlite3
from collections.abc import AsyncIterator, Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AsyncExitStack, asynccontextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
import pytest
from telegram import Update
from telegram.error import InvalidToken
from telegram.ext import MessageHandler, filters

from clubbot.chat import polling, webhook
from clubbot.chat.dispatch import IN_FLIGHT, Dispatcher
from clubbot.chat.intake import AnyApplication, Intake
from clubbot.chat.polling import Polling
from clubbot.store.engine import Store, StoreUnavailable
from clubbot.store.updates import Inbox
from demo.standin import StandIn
from demo.standin.standin import POISON

Answer = Callable[[Update, Any], Awaitable[None]]


class Bot:
    """An intake with a poll loop, and a handler that answers every text with itself."""

    def __init__(self, application: AnyApplication, store: Store) -> None:
        self.application = application
        self.inbox = Inbox(store, application.bot.id)
        self.heard: list[str] = []
        self.answer: Answer = self.echo
        self.now = lambda: datetime.now(UTC)
        self._worker = ThreadPoolExecutor(1)
        self.intake = self._made()
        self.polling = Polling(application.bot, self.intake, outage=StoreUnavailable, patient=False)
        application.add_handler(MessageHandler(filters.TEXT, self._hear))

    def _made(self) -> Intake:
        return Intake(
            self.application,
            self.inbox,
            now=lambda: self.now(),
            worker=self._worker,
            outage=StoreUnavailable,
        )

    async def _hear(self, update: Update, context: Any) -> None:
        await self.answer(update, context)

    async def echo(self, update: Update, _: Any) -> None:
        self.heard.append(update.effective_message.text)
        await update.effective_message.reply_text(update.effective_message.text)

    @asynccontextmanager
    async def at_work(self, seconds: float = 5.0) -> AsyncIterator[asyncio.Task[None]]:
        """Replay what is left, poll, and stop as the bot does."""
        self.inbox.arrive("club_kit_bot", datetime.now(UTC))
        await self.intake.replay()
        fetching = asyncio.create_task(self.polling.run())
        try:
            yield fetching
        finally:
            fetching.cancel()
            await asyncio.gather(fetching, return_exceptions=True)
            await self.intake.stop(seconds)

    def next_run(self) -> None:
        """Forget all that is in memory, as a new process would."""
        self.intake = self._made()
        self.polling = Polling(
            self.application.bot, self.intake, outage=StoreUnavailable, patient=False
        )

    async def all_done(self) -> None:
        """Everything that waits at the platform is fetched, handled and marked."""
        await self.polling.catch_up()
        await self.intake.idle()


@pytest.fixture
def bot(application: AnyApplication, store: Store) -> Bot:
    return Bot(application, store)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Back-off is a hundred times shorter, so that the tests needn't wait for it."""
    sleep = asyncio.sleep
    monkeypatch.setattr(polling.asyncio, "sleep", lambda seconds: sleep(seconds / 100))


def inbox_rows(store: Store) -> int:
    with sqlite3.connect(str(store.url.database)) as database:
        found = int(database.execute("SELECT count(*) FROM inbox").fetchone()[0])
    database.close()
    return found


async def test_each_person_is_answered_in_the_order_they_wrote(bot: Bot, standin: StandIn) -> None:
    people = [standin.add_person(f"Person{n}", started=True) for n in range(12)]
    for number in range(5):
        for person in people:
            standin.say(person, f"message {number}")
    async with bot.at_work():
        await bot.all_done()
    for person in people:
        said = [m.text for m in standin.messages(person) if m.from_bot]
        assert said == [f"message {n}" for n in range(5)]


async def test_what_is_done_leaves_nothing_behind_in_the_inbox(
    bot: Bot, standin: StandIn, store: Store
) -> None:
    standin.say(standin.add_person("Ada"), "where is D?")
    async with bot.at_work():
        await bot.all_done()
    assert bot.heard == ["where is D?"]
    assert inbox_rows(store) == 0


async def test_one_slow_chat_holds_up_nobody_else(bot: Bot, standin: StandIn) -> None:
    slow, quick = standin.add_person("Slow"), standin.add_person("Quick")
    go_on = asyncio.Event()

    async def answer(update: Update, context: Any) -> None:
        if update.effective_user.first_name == "Slow":
            await go_on.wait()
        await bot.echo(update, context)

    bot.answer = answer
    async with bot.at_work():
        standin.say(slow, "first")
        standin.say(quick, "second")
        await standin.wait_for_text(quick, "second")
        assert [m.from_bot for m in standin.messages(slow)] == [False]
        go_on.set()
        await standin.wait_for_text(slow, "first")


@pytest.mark.parametrize("seed", range(5))
async def test_never_more_than_eight_are_in_hand_and_each_chat_keeps_its_order(seed: int) -> None:
    draw = random.Random(seed)
    put = [(draw.randrange(12), number) for number in range(300)]
    handled: list[tuple[int, int]] = []
    in_hand: set[int] = set()
    most = 0

    async def handle(thing: tuple[int, int]) -> None:
        nonlocal most
        chat, _ = thing
        assert chat not in in_hand
        in_hand.add(chat)
        most = max(most, len(in_hand))
        for _ in range(draw.randrange(4)):
            await asyncio.sleep(0)
        in_hand.remove(chat)
        handled.append(thing)

    dispatcher = Dispatcher(handle)
    for thing in put:
        dispatcher.put(thing[0], thing)
        if draw.random() < 0.05:
            await asyncio.sleep(0)
    await dispatcher.below(1)
    assert sorted(handled) == sorted(put)
    assert most == IN_FLIGHT
    for chat in range(12):
        assert [t for t in handled if t[0] == chat] == [t for t in put if t[0] == chat]


async def test_those_who_only_wait_let_others_go_on() -> None:
    go_on = asyncio.Event()
    handled: list[int] = []

    async def handle(chat: int) -> None:
        if chat < IN_FLIGHT:
            async with dispatcher.step_aside():
                await go_on.wait()
        handled.append(chat)

    dispatcher = Dispatcher(handle)
    for chat in range(IN_FLIGHT + 3):
        dispatcher.put(chat, chat)
    await dispatcher.below(IN_FLIGHT + 1)
    assert handled == [8, 9, 10]
    go_on.set()
    await dispatcher.below(1)
    assert sorted(handled) == list(range(IN_FLIGHT + 3))


async def test_an_update_that_cannot_be_read_stops_nobody(
    bot: Bot, standin: StandIn, store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    ada = standin.add_person("Ada")
    standin.updates.add_raw(dict(POISON))
    standin.updates.add_raw({"message": "no object at all"})
    standin.say(ada, "still there?")
    async with bot.at_work():
        await standin.wait_for_text(ada, "still there?")
        await bot.all_done()
    assert standin.updates.waiting == []
    lines = [r.getMessage() for r in caplog.records if "can't be read" in r.getMessage()]
    assert len(lines) == 2
    assert not any("a message without a chat" in line for line in lines)
    assert inbox_rows(store) == 2, "kept, but set aside"
    bot.next_run()
    assert await bot.intake.replay() == 0


async def test_what_is_no_update_at_all_is_left_out(
    bot: Bot, caplog: pytest.LogCaptureFixture
) -> None:
    bot.inbox.arrive("club_kit_bot", datetime.now(UTC))
    for junk in (None, "text", {}, {"update_id": True}, {"update_id": "7"}, {"update_id": 2**70}):
        assert await bot.intake.take([junk]) is None
    assert len(caplog.records) == 6


async def test_a_text_with_half_a_surrogate_pair_is_kept_and_handled(
    bot: Bot, standin: StandIn
) -> None:
    ada = standin.add_person("Ada")
    standin.say(ada, "hello")
    body = standin.updates.waiting[-1].body
    body["message"]["text"] = "half \ud83d and \x00 nothing"
    bot.answer = lambda update, _: asyncio.sleep(0, bot.heard.append(update.message.text))
    async with bot.at_work():
        await bot.all_done()
    assert bot.heard == ["half \ud83d and \x00 nothing"]


async def test_the_same_update_served_twice_is_handled_once(bot: Bot, standin: StandIn) -> None:
    ada = standin.add_person("Ada")
    standin.faults.add("duplicate_update")
    standin.say(ada, "book 3")
    standin.say(ada, "and then this")
    async with bot.at_work():
        await bot.all_done()
        await bot.polling.catch_up()
        await bot.intake.idle()
    assert bot.heard == ["book 3", "and then this"]


async def test_a_repeat_after_a_restart_is_handled_once_too(bot: Bot, standin: StandIn) -> None:
    ada = standin.add_person("Ada")
    standin.say(ada, "book 3")
    body = standin.updates.waiting[-1].body
    async with bot.at_work():
        await bot.all_done()
    bot.next_run()
    standin.updates.add_raw(dict(body))
    async with bot.at_work():
        await bot.all_done()
    assert bot.heard == ["book 3"]


async def test_ids_that_start_again_lower_are_still_new(bot: Bot, standin: StandIn) -> None:
    ada = standin.add_person("Ada")
    standin.say(ada, "before")
    async with bot.at_work():
        await bot.all_done()
    standin.updates.next_id = 17
    bot.next_run()
    standin.say(ada, "after")
    async with bot.at_work():
        await bot.all_done()
    assert bot.heard == ["before", "after"]


class LockedInbox(Inbox):
    """An inbox whose database is locked for the first few batches."""

    locked = 0

    def keep(self, batch: Any, done: Any, at: Any) -> set[int]:
        if batch and self.locked:
            self.locked -= 1
            raise StoreUnavailable("the database is locked by another program")
        return super().keep(batch, done, at)


@pytest.mark.usefixtures("quick")
async def test_with_a_locked_database_updates_stay_at_the_platform_until_it_opens(
    bot: Bot, standin: StandIn, store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO)
    bot.inbox = LockedInbox(store, bot.application.bot.id)
    bot.inbox.locked = 3
    bot.next_run()
    ada = standin.add_person("Ada")
    standin.say(ada, "one")
    async with bot.at_work():
        await standin.wait_for(lambda: standin.updates.polls >= 2)
        assert len(standin.updates.waiting) == 1, "nothing was confirmed"
        assert bot.heard == []
        standin.say(ada, "two")
        await bot.all_done()
    assert bot.heard == ["one", "two"]
    lines = [record.getMessage() for record in caplog.records]
    assert sum("locked by another program" in line for line in lines) == 1
    assert sum("come in again" in line for line in lines) == 1


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ({"kind": "error", "status": 502}, "can't be reached"),
        ({"kind": "error", "status": 502, "html": True}, "can't be reached"),
        ({"kind": "drop_before"}, "can't be reached"),
        ({"kind": "drop_after"}, "can't be reached"),
        ({"kind": "retry_after", "seconds": 1}, "asks for a rest"),
        ({"kind": "error", "status": 409, "text": "Conflict: other"}, "Another program"),
        ({"kind": "error", "status": 404, "text": "Not Found"}, "doesn't know this bot"),
    ],
)
async def test_trouble_with_fetching_is_said_once_and_its_end_once(
    bot: Bot,
    standin: StandIn,
    caplog: pytest.LogCaptureFixture,
    fault: dict[str, Any],
    said: str,
) -> None:
    caplog.set_level(logging.INFO, "clubbot")
    ada = standin.add_person("Ada")
    standin.say(ada, "hello")
    standin.faults.add(method="getUpdates", times=3, **fault)
    async with bot.at_work():
        await standin.wait_for_text(ada, "hello")
        await bot.all_done()
    lines = [r.getMessage() for r in caplog.records if r.name.startswith("clubbot")]
    assert sum(said in line for line in lines) == 1, lines
    assert sum("come in again" in line for line in lines) == 1
    assert bot.heard == ["hello"]


async def test_a_token_that_is_not_valid_any_more_ends_the_loop(bot: Bot, standin: StandIn) -> None:
    standin.faults.add("error", "getUpdates", status=401, text="Unauthorized")
    async with bot.at_work() as fetching:
        with pytest.raises(InvalidToken):
            await fetching


async def test_a_stop_finishes_what_is_in_hand_and_the_next_run_does_the_rest(
    bot: Bot, standin: StandIn
) -> None:
    ada = standin.add_person("Ada")
    begun, go_on = asyncio.Event(), asyncio.Event()

    async def answer(update: Update, context: Any) -> None:
        begun.set()
        await go_on.wait()
        await bot.echo(update, context)

    bot.answer = answer
    for text in ("one", "two", "three"):
        standin.say(ada, text)
    async with bot.at_work():
        await begun.wait()
        asyncio.get_running_loop().call_later(0.05, go_on.set)
    assert bot.heard == ["one"]
    bot.next_run()
    async with bot.at_work():
        await bot.intake.idle()
    assert bot.heard == ["one", "two", "three"]


async def test_a_handler_that_never_ends_is_cut_off_at_a_stop_and_begun_again(
    bot: Bot, standin: StandIn
) -> None:
    ada = standin.add_person("Ada")
    begun = asyncio.Event()

    async def answer(_: Update, __: Any) -> None:
        begun.set()
        await asyncio.Event().wait()

    bot.answer = answer
    standin.say(ada, "one")
    async with bot.at_work(seconds=0.05):
        await begun.wait()
    bot.answer = bot.echo
    bot.next_run()
    async with bot.at_work():
        await bot.intake.idle()
    assert bot.heard == ["one"]


async def test_a_quiet_weekend_is_not_taken_for_an_outage(bot: Bot, standin: StandIn) -> None:
    friday = datetime(2026, 10, 2, 18, tzinfo=UTC)
    moments = iter([friday + timedelta(hours=n) for n in range(60)])
    bot.now = lambda: next(moments)
    bot.next_run()
    async with bot.at_work():
        for _ in range(20):
            await bot.polling.catch_up()
    seen = bot.inbox.arrive("club_kit_bot", friday + timedelta(hours=62))
    assert seen is not None
    assert seen > friday + timedelta(hours=20)


async def test_only_the_kinds_of_update_that_are_handled_are_asked_for(
    bot: Bot, standin: StandIn
) -> None:
    async with bot.at_work():
        await bot.all_done()
    asked = {"message", "edited_message", "callback_query", "my_chat_member"}
    assert standin.updates.allowed == asked


SECRET = "made-up_secret"


@asynccontextmanager
async def listening(bot: Bot, port: int) -> AsyncIterator[str]:
    url = f"http://127.0.0.1:{port}/hook"
    bot.inbox.arrive("club_kit_bot", datetime.now(UTC))
    async with AsyncExitStack() as stack:
        await webhook.listen(
            stack,
            bot.intake,
            url=url,
            secret=SECRET,
            host="127.0.0.1",
            port=port,
            outage=StoreUnavailable,
        )
        stack.push_async_callback(bot.intake.stop, 5.0)
        yield url


async def test_updates_come_by_webhook_too(
    bot: Bot, standin: StandIn, unused_tcp_port: int
) -> None:
    ada = standin.add_person("Ada")
    async with listening(bot, unused_tcp_port) as url:
        await webhook.announce(bot.application.bot, url, SECRET)
        standin.say(ada, "brought to the door")
        await standin.wait_for_text(ada, "brought to the door")
        await bot.intake.idle()
        await bot.application.bot.delete_webhook()
    assert bot.heard == ["brought to the door"]


async def test_a_webhook_takes_nothing_without_the_secret(bot: Bot, unused_tcp_port: int) -> None:
    update = {"update_id": 5, "message": {}}
    async with listening(bot, unused_tcp_port) as url, httpx.AsyncClient() as client:

        async def status(secret: str, **content: Any) -> int:
            headers = {webhook.SECRET_HEADER: secret}
            return (await client.post(url, headers=headers, **content)).status_code

        assert (await client.post(url, json=update)).status_code == 403
        assert await status("guess", json=update) == 403
        assert await status(SECRET, content=b"{") == 400
        assert await status(SECRET, json=[]) == 400
        assert await status(SECRET, content=b" " * (webhook.BIGGEST + 1)) == 413
        assert await status(SECRET, json=update) == 200
        assert (await client.get(url)).status_code == 405


async def test_a_webhook_says_no_while_nothing_can_be_kept(
    bot: Bot, standin: StandIn, store: Store, unused_tcp_port: int
) -> None:
    bot.inbox = LockedInbox(store, bot.application.bot.id)
    bot.inbox.locked = 1
    bot.next_run()
    ada = standin.add_person("Ada")
    async with listening(bot, unused_tcp_port) as url:
        await webhook.announce(bot.application.bot, url, SECRET)
        standin.say(ada, "brought twice")
        await standin.wait_for_text(ada, "brought twice")
        await bot.intake.idle()
        await bot.application.bot.delete_webhook()
    assert bot.heard == ["brought twice"]
