"""The chat page: what it shows is harmless and complete, what is done on it happens."""

from __future__ import annotations

import base64
import re
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from typing import Any
from zoneinfo import ZoneInfo

import aiohttp
import pytest
from hypothesis import given
from hypothesis import strategies as st
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup

from clubbot.clock import SteppedClock
from clubbot.control import Stepper, listen
from demo import browser
from demo.clock import ClockError, ClubClock, target
from demo.page import ChatPage
from demo.page.markup import TAGS, Reader, formatted
from demo.page.routes import FOLDER
from demo.stage import free_port
from demo.standin import Person, StandIn
from demo.standin.files import plain_picture

DUBLIN = ZoneInfo("Europe/Dublin")
START = datetime(2026, 10, 23, 15, 31, tzinfo=DUBLIN)
NASTY = "<script>alert('x')</script> & \"quotes\" <b>not bold</b>"
READER = Reader(DUBLIN, "Kit bot", "club_kit_bot")


class Shown(HTMLParser):
    """What a browser would show of a piece of HTML, and the tags that it is made of."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.text, self.tags, self.attributes = "", [], []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in ("img", "input"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


# -- harmless and complete ------------------------------------------------------------------------

KINDS = (*TAGS, "bot_command", "url", "text_link", "mention", "text_mention", "spoiler", "new-kind")
ADDRESSES = st.sampled_from(
    ["https://t.me/club_kit_bot?start=a\"'<b>", "javascript:alert(1)", "https://example.org/<x>"]
)
ENTITIES = st.builds(
    lambda kind, offset, length, url: {
        "type": kind, "offset": offset, "length": length, **({"url": url} if url else {}),
    },
    st.sampled_from(KINDS), st.integers(0, 30), st.integers(-1, 20), st.none() | ADDRESSES,
)  # fmt: skip
TEXTS = st.text(st.sampled_from("ab <>&\"'/\n🤖é"), min_size=1, max_size=30)


@given(TEXTS, st.lists(ENTITIES, max_size=6), st.booleans())
def test_any_text_with_any_formatting_is_shown_as_it_was_written(
    text: str, entities: list[dict[str, Any]], live: bool
):
    shown = Shown(formatted(text, entities, READER, live=live))
    # An entity that cuts a sign in two can't be right; then only safety is looked at.
    if "🤖" not in text:
        assert shown.text == text
    assert set(shown.tags) <= {*TAGS.values(), "button", "a"}
    assert shown.open == []
    names = {name for name, _ in shown.attributes}
    assert names <= {"type", "class", "data-say", "data-link", "href", "rel", "target"}
    links = [value for name, value in shown.attributes if name == "href"]
    assert all(str(link).startswith("https://") for link in links)


def test_formatting_may_lie_inside_formatting():
    entities = [
        {"type": "bold", "offset": 0, "length": 8},
        {"type": "italic", "offset": 3, "length": 5},
        {"type": "bot_command", "offset": 9, "length": 5},
    ]
    html = formatted("🤖 bold i /mine", entities, READER, live=True)
    assert html == (
        '<b>🤖 <i>bold </i></b>i<button type="button" class="word" data-say=" /min"> /min</button>e'
    )


# -- the server side ------------------------------------------------------------------------------


class Desk:
    """A page over HTTP, with a stand-in, a bot's clock and a bot library behind it."""

    def __init__(self, standin: StandIn, clock: ClubClock, bot: Bot, http: Any) -> None:
        self.standin, self.clock, self.bot, self.http = standin, clock, bot, http
        self.due: list[tuple[datetime, Person]] = []

    async def view(self, person: Person, chat: int | None = None) -> dict[str, Any]:
        where = person.id if chat is None else chat
        async with self.http.get(f"/page/view?person={person.id}&chat={where}") as answer:
            assert answer.status == 200
            return await answer.json()

    async def move(self, **body: str) -> tuple[int, dict[str, Any]]:
        async with self.http.post("/page/clock", json=body) as answer:
            return answer.status, await answer.json()

    async def shown(self, person: Person, chat: int | None = None) -> Shown:
        view = await self.view(person, chat)
        return Shown("".join(entry["html"] for entry in view["entries"]))


@pytest.fixture
async def desk() -> AsyncIterator[Desk]:
    """The bot's side of the clock is the product's own; its reminders are a list of moments."""
    async with AsyncExitStack() as stack:
        clock = ClubClock(START, DUBLIN)
        stack.push_async_callback(clock.close)
        standin = StandIn(clock.now)
        clock.follow(standin)
        url = await standin.start(extend=ChatPage(standin, clock, roles := {}).extend)
        stack.push_async_callback(standin.stop)
        bot = Bot(standin.token, base_url=standin.bot_url, base_file_url=standin.file_url)
        await stack.enter_async_context(bot)
        http = await stack.enter_async_context(aiohttp.ClientSession(url))
        desk = Desk(standin, clock, bot, http)
        for name, role in (("Tess", "helper"), (NASTY, "<i>student</i>"), ("Nora", "leader")):
            roles[standin.add_person(name, started=True).id] = role
        await _bot_clock(stack, desk)
        yield desk


async def _bot_clock(stack: AsyncExitStack, desk: Desk) -> None:
    stepped = SteppedClock(START)

    async def settle() -> None:
        for at, person in [each for each in desk.due if each[0] <= stepped.now()]:
            desk.due.remove((at, person))
            await desk.bot.send_message(person.id, f"Due at {at.astimezone(DUBLIN):%H:%M}.")

    stepper = Stepper(
        stepped,
        catch_up=settle,
        settle=settle,
        next_moment=lambda after, until: min(
            (at for at, _ in desk.due if after < at <= until), default=None
        ),
    )
    port = free_port()
    await listen(stack, stepper, "127.0.0.1", port)
    desk.clock.url = f"http://127.0.0.1:{port}"


def _tess(desk: Desk) -> Person:
    return desk.standin.platform.world.person("Tess")


def _nasty(desk: Desk) -> Person:
    return desk.standin.platform.world.person(NASTY)


async def test_names_and_texts_with_html_in_them_are_only_texts(desk: Desk):
    desk.standin.say(NASTY, NASTY)
    keyboard = InlineKeyboardMarkup([[InlineKeyboardButton(NASTY, callback_data="b:\"'><x")]])
    sent = await desk.bot.send_message(_nasty(desk).id, NASTY, reply_markup=keyboard)
    desk.standin.say(NASTY, "yes", reply_to=sent.message_id)
    await desk.bot.set_my_commands([("free", NASTY)])
    view = await desk.view(_nasty(desk))
    html = "".join(entry["html"] for entry in view["entries"])
    for piece in (html, view["people"], view["openers"], view["chats"], view["commands"]):
        shown = Shown(piece)
        assert not {"script", "b-not", "x"} & set(shown.tags)
        assert shown.open == []
    assert Shown(html).text.count(NASTY) >= 4
    assert "<i>student</i>" in Shown(view["people"]).text
    assert ("data-press", "b:\"'><x") in Shown(html).attributes
    assert NASTY in Shown(view["commands"]).text
    assert view["title"] == f"{NASTY} and Kit bot, alone"


async def test_what_the_bot_changes_or_takes_back_is_seen_at_once(desk: Desk):
    tess = _tess(desk)
    keyboard = InlineKeyboardMarkup([[InlineKeyboardButton("Book 2", callback_data="v1:new")]])
    sent = await desk.bot.send_message(tess.id, "Two are free.", reply_markup=keyboard)
    assert "Book 2" in (await desk.shown(tess)).text
    await desk.bot.edit_message_text("Booked.", tess.id, sent.message_id)
    shown = (await desk.shown(tess)).text
    assert "Booked." in shown
    assert "changed" in shown
    assert "Book 2" not in shown
    await desk.bot.delete_message(tess.id, sent.message_id)
    assert (await desk.view(tess))["entries"] == []


async def test_a_photo_is_shown_with_its_words(desk: Desk):
    tess = _tess(desk)
    content = base64.b64encode(plain_picture(640, 480)).decode()
    body = {"person": tess.id, "content": content, "caption": "the cable of D"}
    async with desk.http.post("/control/photo", json=body) as answer:
        assert answer.status == 200
    shown = await desk.shown(tess)
    assert "the cable of D" in shown.text
    facts = dict(shown.attributes)
    assert (facts["alt"], facts["width"], facts["height"]) == ("Photo from Tess", "256", "192")
    async with desk.http.get(facts["src"]) as answer:
        assert await answer.read() == plain_picture(640, 480)


async def test_a_group_is_shown_to_its_members_only(desk: Desk):
    group = desk.standin.add_group("Robot club", ["Tess", "Nora"])
    desk.standin.say("Nora", "hello all", "Robot club")
    tess, stranger = _tess(desk), _nasty(desk)
    view = await desk.view(tess, group.id)
    assert "hello all" in Shown(view["entries"][-1]["html"]).text
    assert view["label"] == "Tess writes to the group Robot club"
    assert "@club_kit_bot" in view["note"]
    assert (await desk.view(stranger, group.id))["chat"] == stranger.id
    assert "Robot club" not in (await desk.view(stranger))["chats"]


async def test_the_command_menu_is_the_one_of_this_person_in_this_chat(desk: Desk):
    tess = _tess(desk)
    await desk.bot.set_my_commands([("free", "what is free")])
    await desk.bot.set_my_commands(
        [("out", "give out")],
        {"type": "chat", "chat_id": tess.id},  # type: ignore[arg-type]
    )
    assert Shown((await desk.view(tess))["commands"]).text == "/out give out"
    assert Shown((await desk.view(_nasty(desk)))["commands"]).text == "/free what is free"


async def test_the_page_runs_no_script_but_its_own_and_serves_nothing_else(desk: Desk):
    async with desk.http.get("/") as answer:
        html = await answer.text()
        policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    for name in re.findall(r'(?:src|href)="(/[^"]+)"', html):
        async with desk.http.get(name) as answer:
            assert answer.status == 200
    assert "://" not in html
    for name in ("/page/routes.py", "/page/..%2fweek.py", "/page/none.js", "/page/index.html"):
        async with desk.http.get(name) as answer:
            assert answer.status == 404


async def test_every_field_and_button_has_a_name_that_can_be_read_out(desk: Desk):
    async with desk.http.get("/") as answer:
        html = await answer.text()
    labelled = set(re.findall(r'<label[^>]* for="([^"]+)"', html))
    fields = re.findall(r'<(?:input|textarea|select) id="([^"]+)"', html)
    assert fields
    assert set(fields) <= labelled
    ids = re.findall(r' id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    script = (FOLDER / "page.js").read_text(encoding="utf-8")
    assert set(re.findall(r'part\("([a-z-]+)"\)', script)) <= set(ids)
    for landmark in ("<header>", "<main>", "<nav ", 'role="log"', 'role="status"', 'class="skip"'):
        assert landmark in html


# -- the clock ------------------------------------------------------------------------------------


async def test_what_falls_due_on_the_way_carries_the_time_at_which_it_was_due(desk: Desk):
    tess = _tess(desk)
    due = [START + timedelta(minutes=29), START + timedelta(hours=2)]
    desk.due = [(at, tess) for at in due]
    status, answer = await desk.move(move="morning")
    assert status == 200
    assert answer["now"] == "2026-10-24T07:00:00+00:00"
    assert [message.date for message in desk.standin.messages("Tess")] == due
    view = await desk.view(tess)
    assert (view["day"], view["time"]) == ("Saturday 24 October 2026", "08:00")
    assert view["zone"] == "Europe/Dublin, UTC+1"
    await desk.move(move="at", at="2026-10-26T09:30")
    view = await desk.view(tess)
    assert (view["time"], view["zone"]) == ("09:30", "Europe/Dublin, UTC+0")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({"move": "at", "at": "2026-10-23T15:30"}, "never goes back"),
        ({"move": "at", "at": "2027-10-23T15:30"}, "100 days"),
        ({"move": "at", "at": "soon"}, "a date and a time"),
        ({"move": "sideways"}, "how far"),
        ({}, "how far"),
    ],
)
async def test_a_move_that_makes_no_sense_is_refused_in_one_line(
    desk: Desk, body: dict[str, str], words: str
):
    status, answer = await desk.move(**body)
    assert status == 400
    assert words in answer["error"]
    assert desk.clock.now() == START


async def test_a_bot_that_is_gone_is_said_to_be_gone(desk: Desk):
    desk.clock.url = "http://127.0.0.1:9"
    status, answer = await desk.move(move="hour")
    assert status == 400
    assert "doesn't answer" in answer["error"]


@pytest.mark.parametrize(
    ("move", "now", "at", "reached"),
    [
        ("quarter", "2026-10-23T15:31+01:00", "", "2026-10-23T15:46+01:00"),
        ("morning", "2026-10-23T08:00+01:00", "", "2026-10-24T08:00+01:00"),
        ("morning", "2026-10-24T20:00+01:00", "", "2026-10-25T08:00+00:00"),
        ("friday", "2026-10-23T15:14+01:00", "", "2026-10-23T15:15+01:00"),
        ("friday", "2026-10-23T15:15+01:00", "", "2026-10-30T15:15+00:00"),
        # The clocks go back on Sunday 25 October 2026 at 02:00, so 01:30 comes twice.
        ("at", "2026-10-24T20:00+01:00", "2026-10-25T01:30", "2026-10-25T01:30+01:00"),
        ("at", "2026-10-25T01:45+01:00", "2026-10-25T01:30", "2026-10-25T01:30+00:00"),
        ("hour", "2026-10-25T01:30+01:00", "", "2026-10-25T01:30+00:00"),
        # They go forward on Sunday 28 March 2027: 01:30 is skipped.
        ("at", "2027-03-27T20:00+00:00", "2027-03-28T01:30", "2027-03-28T02:30+01:00"),
    ],
)
def test_the_moves_of_the_clock_follow_the_clocks_of_the_club(
    move: str, now: str, at: str, reached: str
):
    found = target(move, datetime.fromisoformat(now).astimezone(UTC), DUBLIN, at)
    assert found == datetime.fromisoformat(reached)


def test_a_move_without_a_time_says_what_is_missing():
    with pytest.raises(ClockError, match="time of day"):
        target("at", START, DUBLIN)


# -- how it looks ---------------------------------------------------------------------------------


def _luminance(colour: str) -> float:
    """Relative luminance as defined by WCAG 2.2, w3.org/TR/WCAG22/#dfn-relative-luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: str, other: str) -> float:
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", [0, 1])
def test_texts_stand_out_enough_in_light_and_dark(scheme: int):
    assert _contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)
    style = (FOLDER / "page.css").read_text(encoding="utf-8")
    light, dark = re.findall(r":root \{([^}]*)\}", style)
    colours = dict(re.findall(r"--(\w+): (#\w{6})", (light, dark)[scheme]))
    for ground in ("paper", "field", "press"):
        for ink in ("ink", "soft", "mark"):
            # 4.5 to 1: WCAG 2.2, success criterion 1.4.3, level AA.
            assert _contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)


# -- used by keyboard, in a browser ----------------------------------------------------------------

needs_browser = pytest.mark.skipif(
    browser.found() is None, reason="Chromium and chromedriver aren't both installed here"
)


@needs_browser
async def test_a_student_with_a_keyboard_only_gets_through_a_conversation(desk: Desk):
    nasty = _nasty(desk)
    url = desk.standin.base_url
    async with browser.browser() as window:
        await window.size(360, 740)
        await window.open(f"{url}/?person={nasty.id}&chat={nasty.id}")
        await window.until("return document.querySelector('#empty:not([hidden])')")
        await _writes_and_presses(desk, window, nasty)
        await window.type("half a sen")
        await window.open(f"{url}/?person={nasty.id}&chat={nasty.id}")
        await window.until("return document.querySelectorAll('.entry').length === 2")
        assert await window.run("return document.getElementById('text').value") == "half a sen"
        assert await window.run("return document.documentElement.scrollWidth") == 360
        assert await window.run("return window.harmed") is None


async def _writes_and_presses(desk: Desk, window: browser.Browser, nasty: Person) -> None:
    """Skip link, write, Enter; then back to the button, which changes what the bot said."""
    await window.type(browser.TAB + browser.TAB + browser.ENTER)
    focus = "return document.activeElement.id"
    assert await window.run(focus) == "text"
    await window.type("<img src=x onerror=window.harmed=1>" + browser.ENTER)
    await window.until("return document.querySelector('.entry.person')")
    assert desk.standin.last(nasty).text == "<img src=x onerror=window.harmed=1>"
    keyboard = InlineKeyboardMarkup([[InlineKeyboardButton("Yes", callback_data="v1:yes")]])
    asked = await desk.bot.send_message(nasty.id, "Sure?", reply_markup=keyboard)
    await window.until("return document.querySelector('[data-press]')")
    await window.type(browser.TAB, shift=True)
    assert await window.run("return document.activeElement.dataset.press") == "v1:yes"
    await window.type(browser.ENTER)
    (tap,) = await desk.standin.wait_for(lambda: list(desk.standin.platform.taps.values()))
    assert tap.data == "v1:yes"
    await desk.bot.answer_callback_query(tap.id, "Noted")
    await desk.bot.edit_message_text("Done.", nasty.id, asked.message_id)
    await window.until(
        "return [...document.querySelectorAll('.said')].some(p => p.textContent === 'Done.')"
    )
    assert await window.run(focus) == f"m{asked.message_id}"
    assert await window.run("return document.getElementById('status').textContent") == "Noted"
    await window.run("document.getElementById('text').focus()")


@needs_browser
async def test_commands_photos_and_the_clock_are_a_few_clicks_away(desk: Desk):
    tess = _tess(desk)
    await desk.bot.set_my_commands([("free", "what is free")])
    desk.due = [(START + timedelta(minutes=40), tess)]
    async with browser.browser() as window:
        await window.size(1200, 850)
        await window.open(f"{desk.standin.base_url}/?person={tess.id}&chat={tess.id}")
        await window.until("return document.querySelector('[data-command]')")
        await window.run("document.querySelector('[data-command]').click()")
        assert await window.run("return document.activeElement.value") == "/free "
        await window.type("fri" + browser.ENTER)
        await window.until("return document.querySelector('.said')")
        await window.run("document.querySelector('[data-answer]').click()")
        await window.type("of this one")
        await window.run("document.getElementById('plain').click()")
        await window.until("return document.querySelector('.entry img')?.naturalWidth")
        first, photo = desk.standin.messages(tess)
        assert (first.text, photo.text, photo.reply_to) == ("/free fri", "of this one", first)
        newest = (await desk.bot.get_updates())[-1].update_id
        await desk.bot.get_updates(offset=newest + 1)
        await window.run("document.querySelector('[data-move=hour]').click()")
        await window.until("return /It is now .* 16:31/.test(document.body.textContent)")
        assert "Due at 16:11." in await window.run("return document.body.textContent")


@needs_browser
async def test_the_page_finds_its_way_back_when_the_demo_was_away(desk: Desk):
    tess, port = _tess(desk), int(desk.standin.base_url.rpartition(":")[2])
    status = "return document.getElementById('status').textContent.includes(arguments[0])"
    async with browser.browser() as window:
        await window.open(f"{desk.standin.base_url}/?person={tess.id}&chat={tess.id}")
        await window.until("return document.getElementById('who').textContent")
        desk.standin.say(tess, "before")
        await window.until("return document.querySelectorAll('.entry').length === 1")
        await desk.standin.stop()
        await window.until(status, "can't be reached")
        again = StandIn(desk.clock.now)
        clock = ClubClock(START, DUBLIN)
        await again.start(port, extend=ChatPage(again, clock, {}).extend)
        try:
            other = again.add_person("Tess", id=tess.id)
            again.say(other, "after")
            await window.until(status, "Back again")
            said = "return document.getElementById('entries').textContent"
            assert "after" in await window.until(said)
        finally:
            await again.stop()
