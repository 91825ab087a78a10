"""getUpdates and webhooks: the rules of the open server (tdlib/telegram-bot-api, Client.cpp)."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from typing import Any

import pytest
from aiohttp import web
from hypothesis import given
from hypothesis import strategies as st
from telegram import Bot, Update
from telegram.error import BadRequest, Conflict

from demo.standin import StandIn
from demo.standin.faults import Faults
from demo.standin.updates import FIRST_UPDATE_ID, KINDS, UpdateQueue


def texts(updates: Any) -> list[str]:
    return [update.message.text for update in updates]


@pytest.fixture
def full(standin: StandIn) -> StandIn:
    """Five messages wait: 1 to 5."""
    maya = standin.add_person("Maya")
    for number in range(1, 6):
        standin.say(maya, str(number))
    return standin


async def test_updates_stay_until_a_higher_offset_confirms_them(full: StandIn, bot: Bot):
    first = await bot.get_updates(limit=2)
    assert texts(first) == ["1", "2"]
    assert texts(await bot.get_updates(offset=first[0].update_id)) == ["1", "2", "3", "4", "5"]
    assert texts(await bot.get_updates(offset=first[1].update_id + 1)) == ["3", "4", "5"]
    assert texts(await bot.get_updates(offset=first[0].update_id, limit=1)) == ["3"]


async def test_a_negative_offset_keeps_that_many_of_the_newest(full: StandIn, bot: Bot):
    assert texts(await bot.get_updates(offset=-2)) == ["4", "5"]
    assert texts(await bot.get_updates(offset=1)) == ["4", "5"]


async def test_an_offset_beyond_the_newest_counts_as_none(full: StandIn, bot: Bot):
    assert len(await bot.get_updates(offset=2_000_000_000)) == 5


async def test_the_same_offset_at_once_again_gets_one_update(full: StandIn, bot: Bot):
    assert len(await bot.get_updates(offset=5)) == 5
    assert len(await bot.get_updates(offset=5)) == 1


steps = st.lists(
    st.one_of(st.just(None), st.tuples(st.integers(-3, 12), st.integers(1, 4))), max_size=20
)


@given(steps)
def test_any_order_of_polls_follows_the_rules(taken: list[tuple[int, int] | None]):
    """Against the rules in their simplest form; None adds an update, a pair is offset and limit.

    Offsets count from the first update's number; no more than half a second passes in a run.
    """
    at = datetime(2026, 10, 2, tzinfo=UTC)

    async def run() -> None:
        queue = UpdateQueue(lambda: at, Faults())
        kept: list[int] = []
        added, previous = 0, None
        for step in taken:
            if step is None:
                queue.add("message", {"n": added})
                kept.append(added)
                added += 1
                continue
            offset, limit = step
            asked = offset + FIRST_UPDATE_ID if offset > 0 else offset
            found = await queue.fetch(asked, limit, 0)
            first = added + offset if offset < 0 else offset
            if first <= added:
                kept = [n for n in kept if n >= first]
            expected = kept[: 1 if asked == previous else limit]
            assert [body["message"]["n"] for body in found] == expected
            previous = asked

    asyncio.run(run())


async def test_a_long_poll_ends_when_something_happens(standin: StandIn, bot: Bot):
    maya = standin.add_person("Maya")
    poll = asyncio.create_task(bot.get_updates(timeout=50))
    await standin.wait_for(lambda: standin.updates.polling)
    standin.say(maya, "here")
    assert texts(await poll) == ["here"]


async def test_a_second_poller_ends_the_first_with_a_conflict(standin: StandIn, bot: Bot):
    first = asyncio.create_task(bot.get_updates(timeout=50))
    await standin.wait_for(lambda: standin.updates.polling)
    async with Bot(standin.token, base_url=standin.bot_url) as other:
        second = asyncio.create_task(other.get_updates(timeout=50))
        with pytest.raises(Conflict, match="terminated by other getUpdates request"):
            await first
        standin.say(standin.add_person("Maya"), "x")
        assert texts(await second) == ["x"]


async def test_messages_wait_a_day_and_taps_150_seconds(standin: StandIn, bot: Bot, clock: Any):
    maya = standin.add_person("Maya", started=True)
    shown = await bot.send_message(maya.id, "?", reply_markup={"inline_keyboard": [
        [{"text": "Yes", "callback_data": "yes"}]]})  # fmt: skip
    standin.say(maya, "old")
    clock.forward(hours=23, minutes=59)
    standin.press(maya, shown.message_id, "Yes")
    assert len(await bot.get_updates()) == 2
    clock.forward(seconds=149)
    (tap,) = await bot.get_updates(offset=-1)
    clock.forward(seconds=1)
    assert await bot.get_updates(offset=1) == ()
    with pytest.raises(BadRequest, match="Query is too old"):
        await bot.answer_callback_query(tap.callback_query.id)


async def test_what_the_bot_listens_to_is_stored_and_kept(standin: StandIn, bot: Bot):
    maya = standin.add_person("Maya")
    await bot.get_updates(allowed_updates=["callback_query"])
    standin.say(maya, "not heard")
    await bot.get_updates()
    standin.say(maya, "not heard either")
    assert await bot.get_updates() == ()
    await bot.get_updates(allowed_updates=[])
    standin.react(maya, standin.say(maya, "heard"), "👍")
    assert texts(await bot.get_updates()) == ["heard"]


def test_the_kinds_of_update_are_the_library_s():
    known = set(Update.ALL_TYPES) - {"guest_message", "managed_bot", "business_connection"}
    assert known <= KINDS


async def test_taps_are_answered_once(standin: StandIn, bot: Bot):
    maya = standin.add_person("Maya", started=True)
    shown = await bot.send_message(maya.id, "?", reply_markup={"inline_keyboard": [
        [{"text": "Yes", "callback_data": "yes"}]]})  # fmt: skip
    tap = standin.press(maya, shown.message_id, "Yes")
    await bot.answer_callback_query(tap.id, "x" * 200)
    assert (tap.answered, tap.text) == (True, "x" * 200)
    for again in (tap.id, "12345"):
        with pytest.raises(BadRequest, match="Query is too old and response timeout expired"):
            await bot.answer_callback_query(again)


@pytest.fixture
async def hook() -> Any:
    """A loopback server that answers with the statuses put on a list, then with 200."""
    seen: list[tuple[str | None, dict[str, Any]]] = []
    statuses: list[int] = []
    answer: dict[str, Any] = {}

    async def receive(request: web.Request) -> web.Response:
        secret = request.headers.get("X-Telegram-Bot-Api-Secret-Token")
        seen.append((secret, await request.json()))
        return web.json_response(answer, status=statuses.pop(0) if statuses else 200)

    app = web.Application()
    app.router.add_post("/hook", receive)
    runner = web.AppRunner(app, shutdown_timeout=0.1)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    url = f"http://127.0.0.1:{runner.addresses[0][1]}/hook"
    yield url, seen, statuses, answer
    await runner.cleanup()


async def test_a_webhook_gets_each_update_until_it_says_yes(standin: StandIn, bot: Bot, hook: Any):
    url, seen, statuses, answer = hook
    statuses += [500, 404]
    maya = standin.add_person("Maya")
    answer |= {"method": "sendMessage", "chat_id": maya.id, "text": "by the way"}
    await bot.set_webhook(url, secret_token="s-3_cret")
    with pytest.raises(Conflict, match="while webhook is active"):
        await bot.get_updates()
    standin.say(maya, "hello")
    await standin.wait_for_text(maya, "by the way")
    assert [(secret, body["message"]["text"]) for secret, body in seen] == [
        ("s-3_cret", "hello")
    ] * 3
    info = await bot.get_webhook_info()
    assert (info.url, info.pending_update_count) == (url, 0)
    assert "404" in info.last_error_message
    await bot.delete_webhook()
    standin.say(maya, "by poll")
    assert texts(await bot.get_updates()) == ["by poll"]


async def test_webhooks_leave_this_machine_never(bot: Bot):
    with pytest.raises(BadRequest, match="loopback"):
        await bot.set_webhook("https://example.org/hook")
