"""The JSON interface, in this process and with the stand-in as a process of its own."""

from __future__ import annotations

import asyncio
import base64
import sys
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from telegram import Bot

from demo.standin import StandIn
from demo.standin.files import plain_picture

ROOT = Path(__file__).resolve().parents[2]


class Page:
    """What a chat page would do."""

    def __init__(self, session: aiohttp.ClientSession, url: str) -> None:
        self.session, self.url = session, url

    async def get(self, path: str) -> Any:
        async with self.session.get(f"{self.url}/control/{path}") as answer:
            assert answer.status == 200, await answer.text()
            return await answer.json()

    async def post(self, path: str, status: int = 200, **body: Any) -> Any:
        async with self.session.post(f"{self.url}/control/{path}", json=body) as answer:
            assert answer.status == status, await answer.text()
            return await answer.json()


@pytest.fixture
async def page(standin: StandIn) -> AsyncIterator[Page]:
    async with aiohttp.ClientSession() as session:
        yield Page(session, standin.base_url)


async def test_a_page_can_play_a_person(page: Page, standin: StandIn, bot: Bot):
    maya = await page.post("person", name="Maya Stone")
    said = await page.post("say", person=maya["id"], text="/start <now>")
    assert (said["text"], said["from"]["name"]) == ("/start <now>", "Maya Stone")
    markup = {"inline_keyboard": [[{"text": "Book", "callback_data": "b"}]]}
    sent = await bot.send_message(maya["id"], "Hello", reply_markup=markup)
    state = await page.get("state")
    assert [chat["kind"] for chat in state["chats"]] == ["private"]
    shown = (await page.get(f"chats/{maya['id']}/messages"))[-1]
    assert shown["keyboard"] == [[{"text": "Book", "data": "b", "url": None}]]
    tap = await page.post("press", person=maya["id"], message=sent.message_id, button="Book")
    waiting = asyncio.create_task(page.get(f"events?after={state['last_event'] + 1}"))
    await bot.answer_callback_query(tap["id"], "Done")
    answers = [e for e in (await waiting)["events"] if e["kind"] == "answer"]
    assert answers[0]["text"] == "Done"
    refused = await page.post("press", 400, person=maya["id"], message=sent.message_id, button="?")
    assert "no button" in refused["error"]
    assert "person" in (await page.post("say", 400, text="x"))["error"]
    assert (await page.get("calls"))[0]["method"] == "sendMessage"


async def test_a_page_can_send_pictures_and_files(page: Page, standin: StandIn):
    await page.post("person", name="Maya")
    content = base64.b64encode(plain_picture(30, 20)).decode()
    sent = await page.post("photo", person="Maya", content=content, caption="bent")
    async with page.session.get(page.url + sent["file"]) as answer:
        assert await answer.read() == plain_picture(30, 20)
    document = await page.post("document", person="Maya", name="a.csv", content="YSxi")
    assert document["document"] == "a.csv"
    assert "error" in await page.post("photo", 400, person="Maya", content="bm90")


async def test_a_page_can_arrange_groups_faults_and_the_clock(page: Page, standin: StandIn):
    for name in ("Lea", "Sam"):
        await page.post("person", name=name)
    group = await page.post("group", title="Club", members=["Lea"], topics=["Faults"])
    await page.post("join", person="Sam", group="Club", by="Lea")
    await page.post("topic", chat="Club", name="Talk")
    await page.post("say", person="Sam", chat="Club", text="/broken D", thread="Faults")
    shown = await page.get(f"chats/{group['id']}/messages")
    assert [message["note"] for message in shown if message["note"]] == [
        "topic Faults opened", "Kit bot joined", "Sam joined", "topic Talk opened",
    ]  # fmt: skip
    await page.post("faults", kind="error", method="sendMessage", times=3)
    assert standin.faults.waiting[0].times == 3
    await page.post("faults", clear=True)
    assert standin.faults.waiting == []
    at = "2026-10-09T15:30:00+01:00"
    await page.post("clock", now=at)
    said = await page.post("say", person="Lea", text="later")
    assert said["date"] == at
    await page.post("block", person="Lea")
    assert "unblock" in (await page.post("say", 400, person="Lea", text="x"))["error"]
    assert "update_id" in await page.post("push", update={"message": {}})


async def test_a_page_can_do_the_rest(page: Page, standin: StandIn):
    for name in ("Lea", "Sam"):
        await page.post("person", name=name)
    said = await page.post("say", person="Lea", text="/book D")
    edited = await page.post("edit", chat="Lea", message=said["id"], text="/book E")
    assert (edited["text"], bool(edited["edited"])) == ("/book E", True)
    await page.post("react", person="Lea", chat="Lea", message=said["id"], emoji="👍")
    assert (await page.get("chats/Lea/messages"))[0]["reactions"] == ["👍"]
    await page.post("delete", chat="Lea", message=said["id"])
    assert await page.get("chats/Lea/messages") == []
    link = "https://t.me/club_kit_bot?start=code-1"
    assert (await page.post("follow", person="Lea", link=link))["text"] == "/start code-1"
    await page.post("privacy", on=False)
    await page.post("group", title="Club", members=["Lea"], bot=False)
    await page.post("add_bot", group="Club")
    club = standin.platform.world.chat("Club")
    assert (club.bot, club.bot_reads_all) == ("member", True)
    await page.post("join", person="Sam", group="Club", admin=True)
    await page.post("leave", person="Sam", group="Club")
    new = await page.post("migrate", group="Club")
    assert new["kind"] == "supergroup"
    await page.post("topic", chat="Club", name="Faults")
    await page.post("close_topic", chat="Club", topic="Faults")
    await page.post("reopen_topic", chat="Club", topic="Faults")
    await page.post("remove_bot", group="Club")
    for thing in ("block", "unblock", "deactivate"):
        await page.post(thing, person="Lea")
    state = await page.get("state")
    lea = next(person for person in state["people"] if person["name"] == "Lea")
    assert (lea["blocked"], lea["deactivated"]) == (False, True)
    assert state["chats"][-1]["bot"] == "kicked"
    assert await page.get("chats/Lea/commands?person=Lea") == []
    assert (await page.get("events?timeout=0"))["last"] == state["last_event"]


async def test_events_come_as_a_stream_too(page: Page, standin: StandIn):
    headers = {"Accept": "text/event-stream"}
    async with page.session.get(f"{page.url}/control/events", headers=headers) as stream:
        standin.say(standin.add_person("Maya"), "x")
        assert await stream.content.readuntil(b"\n\n") == (
            b'id: 1\ndata: {"seq": 1, "kind": "message", "chat_id": 700000001, "message_id": 1}\n\n'
        )


async def test_pages_from_elsewhere_are_kept_out(page: Page, standin: StandIn):
    for headers in ({"Origin": "https://example.org"}, {"Host": "club.example.org"}):
        async with page.session.get(f"{page.url}/control/state", headers=headers) as answer:
            assert answer.status == 403
    with pytest.raises(ValueError, match="loopback"):
        await StandIn().start(host="192.0.2.1")


async def test_it_runs_as_a_process_of_its_own():
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "demo.standin", "--port", "0", cwd=ROOT,
        stdout=asyncio.subprocess.PIPE,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        url = (await process.stdout.readline()).decode().split()[-1]
        settings = dict(p.split("=") for p in (await process.stdout.readline()).decode().split())
        async with aiohttp.ClientSession() as session:
            page = Page(session, url)
            maya = await page.post("person", name="Maya", started=True)
            async with Bot(
                settings["CLUBBOT_TOKEN"],
                base_url=settings["CLUBBOT_API_URL"] + "/bot",
                base_file_url=settings["CLUBBOT_FILE_URL"] + "/bot",
            ) as bot:
                await bot.send_message(maya["id"], "Hello")
                await page.post("photo", person="Maya")
                (update,) = await bot.get_updates()
                file = await update.message.photo[-1].get_file()
                assert bytes(await file.download_as_bytearray()) == plain_picture()
    finally:
        process.terminate()
        await process.wait()
