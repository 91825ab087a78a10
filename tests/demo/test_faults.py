"""Trouble on demand, as the library sees it."""

from __future__ import annotations

from typing import Any

import pytest
from telegram import Bot, Update
from telegram.error import BadRequest, NetworkError, RetryAfter
from telegram.ext import MessageHandler, filters

from demo.standin import Person, StandIn


@pytest.fixture
def maya(standin: StandIn) -> Person:
    return standin.add_person("Maya", started=True)


@pytest.mark.filterwarnings("ignore:Deprecated since version v22.2")
async def test_too_many_requests_says_how_long_to_wait(standin: StandIn, bot: Bot, maya: Person):
    standin.faults.add("retry_after", "sendMessage", seconds=7)
    with pytest.raises(RetryAfter, match="Retry in 7 seconds"):
        await bot.send_message(maya.id, "x")
    assert standin.messages(maya) == []
    await bot.send_message(maya.id, "x")


@pytest.mark.parametrize("html", [False, True])
async def test_a_bad_gateway_is_a_network_error(
    standin: StandIn, bot: Bot, maya: Person, html: bool
):
    standin.faults.add("error", status=502, times=2, html=html)
    for _ in range(2):
        with pytest.raises(NetworkError) as caught:
            await bot.send_message(maya.id, "x")
        assert not isinstance(caught.value, BadRequest)
    await bot.send_message(maya.id, "x")
    assert [m.text for m in standin.messages(maya)] == ["x"]


async def test_a_connection_breaks_before_or_after_the_effect(
    standin: StandIn, bot: Bot, maya: Person
):
    for kind in ("drop_before", "drop_after"):
        standin.faults.add(kind, "sendMessage", chat_id=maya.id)
        with pytest.raises(NetworkError):
            await bot.send_message(maya.id, kind)
    assert [m.text for m in standin.messages(maya)] == ["drop_after"]
    assert [call.ok for call in standin.calls] == [False, True]


async def test_faults_choose_their_method_chat_and_turn(standin: StandIn, bot: Bot, maya: Person):
    sam = standin.add_person("Sam", started=True)
    standin.faults.add("error", "sendMessage", chat_id=sam.id, skip=1, status=500, text="Oops")
    await bot.send_message(maya.id, "x")
    await bot.send_message(sam.id, "x")
    await bot.send_chat_action(sam.id, "typing")
    with pytest.raises(NetworkError, match="Oops"):
        await bot.send_message(sam.id, "y")
    await bot.send_message(sam.id, "z")


async def test_an_answer_can_be_late(standin: StandIn, bot: Bot, maya: Person):
    standin.faults.add("delay", "sendMessage", seconds=0.05)
    await bot.send_message(maya.id, "x")
    assert standin.calls[-1].fault == "delay"


async def test_downloads_fail_too(standin: StandIn, bot: Bot, maya: Person):
    photo = standin.send_photo(maya).content["photo"][-1]["file_id"]
    file = await bot.get_file(photo)
    for kind in ("error", "drop_before"):
        standin.faults.add(kind, "download", status=500)
        with pytest.raises(NetworkError):
            await file.download_as_bytearray()
    assert await file.download_as_bytearray()


async def test_what_did_not_happen_is_told_with_the_last_calls(
    standin: StandIn, bot: Bot, maya: Person
):
    await bot.send_message(maya.id, "something else")
    with pytest.raises(TimeoutError, match=r"(?s)'Hello'.*sendMessage.*something else"):
        await standin.wait_for_text(maya, "Hello", timeout=0.01)
    standin.say(maya, "nobody fetches this")
    with pytest.raises(TimeoutError, match="1 updates wait"):
        await standin.idle(settle=0.001, timeout=0.01)


async def test_an_update_comes_twice_even_when_it_was_confirmed(
    standin: StandIn, bot: Bot, maya: Person
):
    standin.faults.add("duplicate_update")
    standin.say(maya, "/book 3")
    standin.say(maya, "next")
    (first,) = await bot.get_updates()
    again = await bot.get_updates(offset=first.update_id + 1)
    assert [update.update_id for update in again] == [first.update_id, first.update_id + 1]
    assert await bot.get_updates(offset=again[-1].update_id + 1) == ()


async def test_updates_come_in_the_wrong_order(standin: StandIn, bot: Bot, maya: Person):
    standin.faults.add("swap_updates")
    standin.say(maya, "first")
    assert await bot.get_updates() == ()
    standin.say(maya, "second")
    found = await bot.get_updates(offset=1)
    assert [update.message.text for update in found] == ["second", "first"]
    assert found[0].update_id > found[1].update_id


async def test_a_poisoned_update_is_one_that_the_library_cannot_read(
    standin: StandIn, bot: Bot, maya: Person
):
    number = standin.poison()
    with pytest.raises(KeyError):
        await bot.get_updates()
    standin.say(maya, "behind it")
    found = await bot.get_updates(offset=number + 1)
    assert [update.message.text for update in found] == ["behind it"]


async def test_an_application_lives_through_trouble(standin: StandIn, launch: Any, maya: Person):
    async def echo(update: Update, _: Any) -> None:
        await update.message.reply_text(update.message.text)

    await launch(MessageHandler(filters.TEXT, echo))
    standin.faults.add("error", "getUpdates", status=502)
    standin.say(maya, "one")
    await standin.wait_for_text(maya, "one")
    standin.push(
        {
            "message": {
                "message_id": 9,
                "date": 1_790_000_000,
                "chat": {"id": maya.id, "type": "private", "first_name": "Maya"},
                "from": {"id": maya.id, "is_bot": False, "first_name": "Maya"},
                "text": "raw",
            }
        }
    )
    await standin.wait_for_text(maya, "raw")
