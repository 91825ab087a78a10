"""Messages through the only sender, over HTTP, to people in the stand-in's chats."""

from __future__ import annotations

import asyncio
import html
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from telegram import Update
from telegram.constants import FloodLimit

from clubbot.chat import pace as pace_module
from clubbot.chat import post as post_module
from clubbot.chat.intake import AnyApplication
from clubbot.chat.letters import LONGEST, plain, split, units
from clubbot.chat.pace import Pace, Urgency
from clubbot.chat.post import Post
from clubbot.chat.words.phrases import Button, Reply
from clubbot.rules.sending import Gone, Sent, TryAgain, Unknown
from demo.standin import Person, StandIn
from demo.standin.files import plain_picture

HELLO = Reply("Kit <b>D</b> is back.")
YES_NO = Reply("All back?", ((Button("Yes", "v1:yes:1"), Button("No", "v1:no:1")),))


class Desk:
    """Notes what the sender learned."""

    def __init__(self) -> None:
        self.blocked: list[int] = []
        self.migrated: list[tuple[int, int]] = []

    async def on_blocked(self, chat_id: int) -> None:
        self.blocked.append(chat_id)

    async def on_migrated(self, old: int, new: int) -> None:
        self.migrated.append((old, new))


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def post(application: AnyApplication, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Post:
    monkeypatch.setattr(post_module, "A_LITTLE", 0.0)
    monkeypatch.setattr(post_module, "_back_off", lambda: iter([0.01] * 5))
    return Post(
        application.bot, pace=None, on_blocked=desk.on_blocked, on_migrated=desk.on_migrated
    )


@pytest.fixture
def ada(standin: StandIn) -> Person:
    return standin.add_person("Ada", started=True)


async def update_of(application: AnyApplication, standin: StandIn) -> Update:
    """The newest update that waits at the platform, as the bot sees it."""
    update = Update.de_json(standin.updates.waiting[-1].body, application.bot)
    standin.updates.drop()
    return update


def from_bot(standin: StandIn, chat: Any) -> list[str]:
    return [message.text for message in standin.messages(chat) if message.from_bot]


def sends(standin: StandIn) -> int:
    return len(standin.calls_of("sendMessage"))


async def test_an_answer_is_written_as_html_with_its_buttons(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    standin.say(ada, "is D back?")
    outcome = await post.reply(await update_of(application, standin), YES_NO)
    message = standin.last(ada)
    assert outcome == Sent(message.id)
    assert [button.text for button in message.buttons] == ["Yes", "No"]
    await post.send(ada.id, HELLO)
    assert standin.last(ada).text == "Kit D is back."
    assert [entity["type"] for entity in standin.last(ada).entities] == ["bold"]


async def test_in_a_group_the_answer_points_to_the_question(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    group = standin.add_group("Robot club", [ada], announce=False)
    asked = standin.say(ada, "/free", group)
    await post.reply(await update_of(application, standin), HELLO)
    answer = standin.last(group)
    assert answer.reply_to is asked


async def test_in_a_topic_the_answer_stays_in_the_topic(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    group = standin.add_group(
        "Robot club", [ada], topics=["Faults"], supergroup=True, announce=False
    )
    topic = next(each for each in group.topics.values() if each.name == "Faults")
    standin.say(ada, "/free", group, thread=topic)
    await post.reply(await update_of(application, standin), HELLO)
    assert standin.last(group).thread == topic.id


async def test_where_the_topic_is_gone_the_answer_comes_outside_it(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    group = standin.add_group(
        "Robot club", [ada], topics=["Faults"], supergroup=True, announce=False
    )
    topic = next(each for each in group.topics.values() if each.name == "Faults")
    standin.say(ada, "/free", group, thread=topic)
    update = await update_of(application, standin)
    del group.topics[topic.id]
    assert isinstance(await post.reply(update, HELLO), Sent)
    assert from_bot(standin, group) == ["Kit D is back."]
    tried = [call.params.get("message_thread_id") for call in standin.calls_of("sendMessage")]
    assert [thread is None for thread in tried] == [False, True]


async def test_pressing_a_button_changes_its_message_and_no_new_one_comes(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    await post.send(ada.id, YES_NO)
    message = standin.last(ada)
    standin.press(ada, message, "Yes")
    update = await update_of(application, standin)
    await post.acknowledge(update)
    assert await post.edit(update, HELLO) == Sent(message.id)
    assert from_bot(standin, ada) == ["Kit D is back."]
    assert standin.last(ada).buttons == []


async def test_an_edit_keeps_the_buttons_it_is_given_and_may_change_nothing(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    await post.send(ada.id, YES_NO)
    standin.press(ada, standin.last(ada), "Yes")
    update = await update_of(application, standin)
    for _ in range(2):
        assert isinstance(await post.edit(update, YES_NO), Sent)
    assert [button.text for button in standin.last(ada).buttons] == ["Yes", "No"]
    assert len(from_bot(standin, ada)) == 1


async def test_where_the_message_is_gone_the_change_comes_as_a_new_one(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    await post.send(ada.id, YES_NO)
    message = standin.last(ada)
    standin.press(ada, message, "Yes")
    update = await update_of(application, standin)
    standin.delete(message)
    assert isinstance(await post.edit(update, HELLO), Sent)
    assert from_bot(standin, ada) == ["Kit D is back."]


async def test_a_button_pressed_long_ago_is_let_be_and_a_wrong_answer_is_logged(
    post: Post,
    standin: StandIn,
    application: AnyApplication,
    ada: Person,
    caplog: pytest.LogCaptureFixture,
) -> None:
    await post.send(ada.id, YES_NO)
    standin.press(ada, standin.last(ada), "Yes")
    update = await update_of(application, standin)
    await post.acknowledge(update, "x" * 300)
    await post.acknowledge(update)  # answered already: the platform calls that too old
    assert caplog.records == []
    standin.faults.add("error", "answerCallbackQuery", status=400, text="Bad Request: WRONG")
    await post.acknowledge(update)
    assert [r.levelno for r in caplog.records] == [logging.ERROR]


async def test_a_long_text_comes_in_parts_and_the_buttons_under_the_last(
    post: Post, standin: StandIn, ada: Person
) -> None:
    text = "\n".join(f"<b>{n}</b>: kit &amp; tablet 🤖 {n}" for n in range(400))
    await post.send(ada.id, Reply(text, YES_NO.buttons))
    messages = standin.messages(ada)
    assert len(messages) > 1
    assert "\n".join(message.text for message in messages) == plain(text)
    assert [bool(message.buttons) for message in messages] == [False] * (len(messages) - 1) + [True]


async def test_a_picture_comes_with_its_words(post: Post, standin: StandIn, ada: Person) -> None:
    picture = plain_picture()
    await post.send(ada.id, Reply("<b>Labels</b>", YES_NO.buttons, picture))
    message = standin.last(ada)
    assert "photo" in message.content
    assert message.text == "Labels"
    await post.send(ada.id, Reply("x" * 1025, YES_NO.buttons, picture))
    shown, said = standin.messages(ada)[-2:]
    assert "photo" in shown.content
    assert shown.text == ""
    assert said.text == "x" * 1025
    assert said.buttons


async def test_a_text_that_is_no_html_still_arrives_and_is_logged_as_a_bug(
    post: Post, standin: StandIn, ada: Person, caplog: pytest.LogCaptureFixture
) -> None:
    assert isinstance(await post.send(ada.id, Reply("<b>kit &lt;D&gt; is back")), Sent)
    assert standin.last(ada).text == "kit <D> is back"
    assert any("not valid HTML" in record.getMessage() for record in caplog.records)


@pytest.mark.parametrize(
    "fault",
    [{"kind": "error", "status": 502}, {"kind": "error", "status": 500, "html": True}],
)
async def test_what_surely_did_not_arrive_is_sent_again_and_arrives_once(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person, fault: dict[str, Any]
) -> None:
    standin.say(ada, "book 3")
    standin.faults.add(method="sendMessage", times=3, **fault)
    outcome = await post.reply(await update_of(application, standin), HELLO)
    assert isinstance(outcome, Sent)
    assert from_bot(standin, ada) == ["Kit D is back."]


async def test_a_platform_that_is_not_there_is_tried_until_it_is(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    standin.say(ada, "book 3")
    update = await update_of(application, standin)
    port = int(standin.base_url.rpartition(":")[2])
    await standin.stop()
    answer = asyncio.create_task(post.reply(update, HELLO))
    await asyncio.sleep(0.02)
    assert not answer.done()
    standin.updates.closed = False
    await standin.start(port)
    assert isinstance(await answer, Sent)
    assert from_bot(standin, ada) == ["Kit D is back."]


@pytest.mark.parametrize(("fault", "arrived"), [("drop_after", 1), ("drop_before", 0)])
async def test_a_confirmation_of_which_nobody_knows_is_not_repeated(
    post: Post,
    standin: StandIn,
    application: AnyApplication,
    ada: Person,
    fault: str,
    arrived: int,
) -> None:
    standin.say(ada, "book 3")
    standin.faults.add(fault, "sendMessage")
    outcome = await post.reply(await update_of(application, standin), HELLO)
    assert outcome == Unknown()
    assert len(from_bot(standin, ada)) == arrived
    assert sends(standin) == 1


async def test_an_edit_of_which_nobody_knows_is_made_again(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    await post.send(ada.id, YES_NO)
    standin.press(ada, standin.last(ada), "Yes")
    standin.faults.add("drop_after", "editMessageText")
    assert isinstance(await post.edit(await update_of(application, standin), HELLO), Sent)
    assert from_bot(standin, ada) == ["Kit D is back."]


async def test_a_reminder_never_waits_but_says_when_to_try_again(
    post: Post, standin: StandIn, ada: Person
) -> None:
    standin.faults.add("retry_after", "sendMessage", seconds=7)
    assert await post.send(ada.id, HELLO) == TryAgain(timedelta(seconds=7))
    held = await post.send(ada.id, HELLO)
    assert isinstance(held, TryAgain)
    assert sends(standin) == 1, "this chat is left alone meanwhile"
    ben = standin.add_person("Ben", started=True)
    assert isinstance(await post.send(ben.id, HELLO), Sent), "others are not"
    standin.faults.add("error", "sendMessage", status=502)
    assert isinstance(await post.send(ben.id, HELLO), TryAgain)


async def test_an_answer_waits_as_long_as_the_platform_asks(
    post: Post, standin: StandIn, application: AnyApplication, ada: Person
) -> None:
    waits: list[str] = []

    @asynccontextmanager
    async def noted() -> AsyncIterator[None]:
        waits.append("aside")
        yield

    post.step_aside = noted
    standin.say(ada, "book 3")
    standin.faults.add("retry_after", "sendMessage", seconds=1)
    outcome = await post.reply(await update_of(application, standin), HELLO)
    assert isinstance(outcome, Sent)
    assert waits == ["aside"]
    assert from_bot(standin, ada) == ["Kit D is back."]


async def test_a_group_that_became_a_supergroup_is_followed(
    post: Post, standin: StandIn, application: AnyApplication, desk: Desk, ada: Person
) -> None:
    group = standin.add_group("Robot club", [ada], announce=False)
    standin.say(ada, "/free", group)
    update = await update_of(application, standin)
    bigger = standin.migrate(group)
    assert isinstance(await post.reply(update, HELLO), Sent)
    assert desk.migrated == [(group.id, bigger.id)]
    assert from_bot(standin, bigger) == ["Kit D is back."]


async def test_who_has_blocked_the_bot_is_reported_and_not_tried_again(
    post: Post, standin: StandIn, desk: Desk, ada: Person
) -> None:
    standin.block(ada)
    assert isinstance(await post.send(ada.id, HELLO), Gone)
    assert isinstance(await post.send(12345, HELLO), Gone)
    assert desk.blocked == [ada.id, 12345]
    assert sends(standin) == 2


async def test_what_the_platform_refuses_for_good_is_not_repeated(
    post: Post, standin: StandIn, ada: Person, caplog: pytest.LogCaptureFixture
) -> None:
    assert isinstance(await post.send(ada.id, Reply("")), Gone)
    assert sends(standin) == 1
    assert [record.levelno for record in caplog.records] == [logging.ERROR]


# -- splitting -----------------------------------------------------------------------

TAGS = st.sampled_from(["b", "i", "code", "u"])
WORDS = st.text(st.sampled_from("ab 🤖&<>\n é‏"), max_size=12).map(lambda t: html.escape(t))


def marked(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    pairs = st.tuples(TAGS, inner)
    return pairs.map(lambda pair: f"<{pair[0]}>{pair[1]}</{pair[0]}>")


MARKED = st.recursive(
    WORDS, lambda inner: st.lists(marked(inner) | inner, max_size=6).map("".join), max_leaves=30
)


class Balanced(HTMLParser):
    """Fails where tags don't close in order; keeps what is read between them, with its tags."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.read: list[tuple[str, tuple[str, ...]]] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        marks = tuple(self.open)
        self.read += [(char, marks) for char in data if not char.isspace()]


@settings(max_examples=150, deadline=None)
@given(MARKED, st.integers(60, 120))
def test_parts_fit_are_whole_html_and_say_the_same(text: str, longest: int) -> None:
    parts = split(text, longest)
    assert all(units(part) <= longest for part in parts)
    read = [each for part in parts for each in Balanced(part).read]
    assert read == Balanced(text).read


def test_a_text_that_fits_is_left_as_it_is() -> None:
    text = "x" * LONGEST
    assert split(text) == [text]
    assert split("🤖" * (LONGEST // 2)) == ["🤖" * (LONGEST // 2)]
    assert len(split("🤖" * (LONGEST // 2 + 1))) == 2


# -- pace -----------------------------------------------------------------------


class Time:
    """Time that passes only when somebody sleeps; stands in for the pace's clock."""

    def __init__(self) -> None:
        self.now = 1000.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def time(monkeypatch: pytest.MonkeyPatch) -> Time:
    passing = Time()
    monkeypatch.setattr(pace_module, "time", passing)

    @asynccontextmanager
    async def timeout(seconds: float) -> AsyncIterator[None]:
        for _ in range(3):
            await asyncio.sleep(0)  # those who got a turn go
        passing.now += seconds + 1e-6
        raise TimeoutError
        yield

    monkeypatch.setattr(pace_module.asyncio, "timeout", timeout)
    return passing


async def test_no_second_sees_more_than_the_limit_and_no_group_more_than_its_own(
    time: Time,
) -> None:
    pace = Pace(10)
    went: list[tuple[float, int]] = []

    async def one(chat: int) -> None:
        await pace.turn(chat, Urgency.REPLY)
        went.append((time.now, chat))

    chats = [(-7 if number % 3 else number + 1) for number in range(90)]
    await asyncio.gather(*(one(chat) for chat in chats))
    assert len(went) == 90
    for at, _ in went:
        assert sum(at <= other < at + 1 for other, _ in went) <= 10
        group = [other for other, chat in went if chat == -7 and at <= other < at + 60]
        assert len(group) <= FloodLimit.MESSAGES_PER_MINUTE_PER_GROUP
    privately = [at for at, chat in went if chat > 0]
    assert max(privately) < 1000 + 60, "private chats don't wait for a busy group"


async def test_danger_goes_first_then_answers_then_reminders(time: Time) -> None:
    pace = Pace(1)
    went: list[Urgency] = []

    async def one(urgency: Urgency) -> None:
        await pace.turn(1, urgency)
        went.append(urgency)

    wanted = [Urgency.REMINDER, Urgency.REPLY, Urgency.DANGER] * 3
    await asyncio.gather(*(one(urgency) for urgency in wanted))
    assert went[0] == Urgency.REMINDER, "the first one found the way free"
    assert went[1:] == sorted(wanted)[:-1]
    assert time.now > 1000


async def test_one_who_gave_up_waiting_holds_up_nobody() -> None:
    pace = Pace(20)
    for _ in range(20):
        await pace.turn(1, Urgency.REPLY)
    gone = asyncio.create_task(pace.turn(1, Urgency.DANGER))
    stays = asyncio.create_task(pace.turn(2, Urgency.REPLY))
    await asyncio.sleep(0)
    gone.cancel()
    await asyncio.wait_for(stays, 5)
    assert gone.cancelled()
