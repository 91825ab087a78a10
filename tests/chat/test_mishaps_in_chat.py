"""Faults and bad input, end to end: nothing lost, nothing twice, one kind line and no traceback."""

from __future__ import annotations

import io
import logging
import re
import sqlite3
import threading
from collections.abc import Iterator

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from clubbot import logs
from clubbot.chat.router import COMMANDS, VERBS
from clubbot.desk import booking
from clubbot.store.tables import BOOKING, ENTRY, FAULT, PERSON, TEAM
from demo.standin import Chat, render
from tests.chat.played import GROUP, Club

NASTY = "<b>Zed</b> & \u202e\u200b\u05d3\u05e0\u05d4 \U0001f916"


def rows(club: Club) -> list[int]:
    """Count what stands in the tables that people's deeds change."""
    with club.store.read() as tx:
        return [
            int(tx.execute(sa.select(sa.func.count()).select_from(table)).scalar_one())
            for table in (BOOKING, ENTRY, FAULT, PERSON, TEAM)
        ]


# -- updates -----------------------------------------------------------------------


async def test_the_same_update_twice_books_once_and_answers(club: Club) -> None:
    club.standin.faults.add("duplicate_update")
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    assert {each.text.partition(".")[0] for each in club.news("Sam")} == {
        "Booked: 2 kits for Red, tomorrow, 15:30 to 17:00"
    }
    await club.says("Sam", "/mine")
    assert "2:" not in club.answers("Sam", "1: tomorrow").text


async def test_the_same_tap_delivered_twice_acts_once(club: Club) -> None:
    await club.says("Sam", "/free")
    club.standin.faults.add("duplicate_update")
    await club.presses("Sam", "Book 2")
    await club.says("Sam", "/mine")
    assert "2:" not in club.answers("Sam", "1: tomorrow").text


async def test_updates_whose_numbers_go_backwards_are_all_handled(club: Club) -> None:
    for place, who in enumerate(("Sam", "Bea")):
        message = club.standin.say(who, f"/book {place + 2} kits fri 15:30 to 17:00")
        body = render.message(club.standin.platform, message)
        club.standin.updates.drop()
        await club.running.intake.take([{"update_id": 900 - place, "message": body}])
    await club.settle()
    club.answers("Sam", "Booked: 2 kits")
    club.answers("Bea", "Booked: 3 kits")


async def test_an_update_that_cannot_be_read_stands_in_nobodys_way(club: Club) -> None:
    club.trouble = True
    club.standin.poison()
    await club.says("Sam", "/free")
    club.answers("Sam", "8 of 8 kits free")


async def test_one_persons_messages_are_answered_in_their_order(club: Club) -> None:
    for number in range(6):
        club.standin.say("Sam", f"/kit {'ABCDEF'[number]}")
    await club.settle()
    assert [each.text[:5] for each in club.news("Sam")] == [f"Kit {a}" for a in "ABCDEF"]


# -- the network -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "fault",
    [
        {"kind": "error", "status": 502},
        {"kind": "error", "status": 500, "html": True},
        {"kind": "retry_after", "seconds": 1},
        {"kind": "drop_before"},
        {"kind": "drop_after"},
    ],
    ids=lambda fault: f"{fault['kind']} {fault.get('status', '')}",
)
async def test_whatever_befalls_an_answer_the_booking_stands_once(
    club: Club, fault: dict[str, object]
) -> None:
    club.standin.faults.add(method="sendMessage", **fault)
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    said = [each.text for each in club.news("Sam")]
    assert len(said) <= 1, "never twice"
    if fault["kind"] != "drop_before":
        club.answers("Sam", "Booked: 2 kits")
    await club.says("Sam", "/mine")
    shown = club.answers("Sam", "1: tomorrow, 15:30 to 17:00, 2 kits").text
    assert "2:" not in shown


async def test_while_updates_cannot_be_fetched_none_is_lost(club: Club) -> None:
    club.standin.faults.add("error", "getUpdates", status=502, times=2)
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    club.answers("Sam", "Booked: 2 kits")


# -- the database -----------------------------------------------------------------------


async def test_a_database_that_is_locked_for_a_while_only_delays_the_answer(club: Club) -> None:
    club.trouble = True
    other = sqlite3.connect(str(club.store.url.database), check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    club.standin.say("Sam", "/book 2 kits fri 15:30 to 17:00")
    freed = threading.Timer(0.5, other.rollback)
    freed.start()
    await club.settle()
    freed.join()
    other.close()
    club.answers("Sam", "Booked: 2 kits")


async def test_a_database_that_stays_unusable_is_said_and_nothing_is_half_done(
    club: Club, monkeypatch: pytest.MonkeyPatch
) -> None:
    from clubbot.chat import gate
    from clubbot.store.engine import StoreUnavailable

    club.trouble = True
    monkeypatch.setattr(gate, "PAUSES", (0.01, 0.01))
    before = rows(club)

    def broken(*_: object) -> None:
        raise StoreUnavailable("the disk with the database is full; make room, then try again")

    with monkeypatch.context() as patched:
        patched.setattr(booking, "take", broken)
        await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
        club.answers("Sam", "I can't write anything down right now", "Try again in a minute")
    assert rows(club) == before
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    club.answers("Sam", "Booked: 2 kits")


async def test_a_bug_gives_one_line_with_a_reference_that_the_log_has_too(
    club: Club, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    club.trouble = True
    before = rows(club)

    def broken(*_: object) -> None:
        raise RuntimeError("a bug")

    with monkeypatch.context() as patched:
        patched.setattr(booking, "take", broken)
        await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
        said = club.answers("Sam", "Something went wrong on my side")
        reference = said.text.rpartition(" ")[2]
        assert re.fullmatch(r"[0-9a-f]{6}", reference)
        assert any(reference in record.getMessage() for record in caplog.records)
        await club.sends_data("Sam", "v1:new:0:2 kits fri 15:30 to 17:00")
        club.sees("Sam", "Something went wrong on my side")
    assert rows(club) == before
    await club.says("Sam", "/free")
    club.answers("Sam", "8 of 8 kits free")


# -- what people type -----------------------------------------------------------------------


RUBBISH = ("", "blah <b>blah", "9" * 30)


@pytest.mark.parametrize("who", ["Sam", "Hana", "Nora", "Zed"])
async def test_every_command_with_nothing_or_rubbish_gets_a_kind_answer(
    club: Club, who: str
) -> None:
    everybody = rows(club)[3]
    for row in COMMANDS:
        for rest in RUBBISH:
            club.standin.say(who, f"/{row.name} {rest}")
    await club.settle()
    said = club.news(who)
    assert len(said) >= len(COMMANDS) * len(RUBBISH)
    assert [each.text for each in said if "went wrong" in each.text] == []
    assert rows(club)[3] == everybody


async def test_a_text_of_the_greatest_length_is_taken_everywhere(club: Club) -> None:
    for start in ("", "/book ", "/fault D ", "/kit ", "/withdraw D: ", "/fixed 1 ", "/role "):
        for filling in ("<b>&", "\u05d3\u05e0\u05d4 ", "kit D fri 3-5 or "):
            club.standin.say("Hana", (start + filling * 4096)[:4096].strip())
    await club.settle()
    said = club.news("Hana")
    assert len(said) >= 21
    assert [each.text for each in said if "went wrong" in each.text] == []
    await club.says("Hana", "/faults")
    await club.says("Hana", "/today")
    await club.says("Hana", "/kit D")
    club.answers("Hana", "Out of use")


async def test_names_and_titles_are_shown_as_they_are_and_turn_nothing_round(club: Club) -> None:
    club.standin.platform.world.person("Zed").first_name = NASTY
    await club.says("Nora", "/invite student")
    link = re.search(r"https://\S+", club.answers("Nora", "Link").text)
    assert link is not None
    club.standin.follow(club.cast[-1], link[0])
    await club.settle()
    knock = club.answers("Nora", "<b>Zed</b> & ", " wants to come in as student")
    assert "\u202e" not in knock.text
    assert "\u200b" not in knock.text
    await club.presses("Nora", knock.buttons[0])
    await club.says("Nora", "/people")
    club.answers("Nora", "<b>Zed</b> & ")
    group = club.standin.add_group(NASTY, ["Nora"], announce=False)
    await club.says("Nora", "/link", group)
    await club.says("Nora", "/setup")
    club.answers("Nora", "Group: ", "<b>Zed</b> & ")
    await club.presses("Nora", "Teams")
    await club.says("Nora", "<i>Owls</i>, \u202eslwO, \u05d3\u05e0\u05d4")
    club.answers("Nora", "<i>Owls</i>")
    await club.presses("Nora", "Kits")
    await club.says("Nora", "<u>1, &amp;")
    await club.says("Nora", "/kit <u>1")
    club.answers("Nora", "Kit <u>1")


async def test_a_label_or_name_that_nobody_can_see_is_not_taken(club: Club) -> None:
    await club.says("Nora", "/setup")
    await club.presses("Nora", "Kits")
    await club.says("Nora", "\u200b, Y\u202e1, \u2060")
    await club.says("Nora", "/kit Y1")
    club.answers("Nora", "Kit Y1")
    await club.says("Nora", "/free")
    club.answers("Nora", "9 of 9 kits free")


# -- buttons -----------------------------------------------------------------------


def _data() -> st.SearchStrategy[str]:
    number = st.sampled_from(["0", "1", "2", "7", "-1", "999999999", "9" * 15, "", "x", "\u0661"])
    moment = st.sampled_from(["1792161000", "1792166400", "0", "9999999999", "x"])
    piece = (
        number
        | moment
        | st.sampled_from(["one", "all", "name", "done", "leader", "student", "2026-10-16"])
        | st.sampled_from(["2026-02-31", "2 kits fri 15:30 to 17:00", "1,2", "1,,2", "<b>", "abc"])
        | st.text(max_size=5)
    )
    verb = st.sampled_from(sorted(VERBS)) | st.sampled_from(["nothing", "", "start"])
    version = st.sampled_from(["v1", "v1", "v1", "v0", ""])
    parts = st.tuples(version, verb, st.lists(piece, max_size=4))
    return parts.map(lambda p: ":".join([p[0], p[1], *p[2]])).map(
        lambda data: data.encode()[:64].decode(errors="ignore") or "x"
    )


@pytest.mark.parametrize("who", ["Sam", "Nora"])
async def test_forged_buttons_never_break_anything_and_grant_nothing(club: Club, who: str) -> None:
    await club.says("Bea", "/book 2 kits fri 15:30 to 17:00")
    await club.says(who, "/start")
    people = rows(club)[3:]
    found: list[str] = []

    @settings(
        max_examples=120,
        phases=[Phase.generate],
        database=None,
        suppress_health_check=list(HealthCheck),
        derandomize=True,
    )
    @given(_data())
    def forge(data: str) -> None:
        found.append(data)

    forge()
    message = club.standin.last(who)
    for start in range(0, len(found), 20):
        for data in found[start : start + 20]:
            club.standin.press(who, message, data, stale=True)
        await club.settle()
        for each in club.news(who):
            assert "went wrong" not in each.text, found[start : start + 20]
    taps = club.standin.platform.taps.values()
    assert all(tap.answered for tap in taps), "no button is left waiting"
    if who == "Sam":
        assert rows(club)[3:] == people
        await club.says("Bea", "/mine")
        club.answers("Bea", "1: tomorrow")


async def test_buttons_grant_nothing_to_whom_the_deed_is_not_allowed(club: Club) -> None:
    await club.says("Bea", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Sam", "/start")
    await club.at("2026-10-16 15:30")
    before = rows(club)
    for data in (
        "v1:cancel:1",
        "v1:role:4:leader",
        "v1:putin:4:2",
        "v1:remove:1",
        "v1:letin:1",
        "v1:outall",
        "v1:backall",
        "v1:undo",
        "v1:charged:2026-10-16",
        "v1:setup:name",
        "v1:skip:name",
        "v1:close:2026-10-16",
        "v1:allback:1",
        "v1:approve:1",
        "v1:restore:1",
        "v1:giveto:1:1",
        "v1:passto:1:1",
    ):
        await club.sends_data("Sam", data)
        assert rows(club) == before, data
        assert "went wrong" not in club.all_said("Sam"), data
    assert all(tap.answered for tap in club.standin.platform.taps.values())
    await club.says("Sam", "hello")
    await club.says("Nora", "/people")
    club.answers("Nora", "Sam, student, Red")


async def test_a_button_from_long_ago_says_so(club: Club) -> None:
    await club.says("Sam", "/book 2 kits")
    asked = club.answers("Sam", "Which day?")
    await club.at("2026-10-15 12:00")
    await club.presses("Sam", asked.buttons[0])
    club.sees("Sam", "out of date")
    await club.sends_data("Sam", "v0:say:fri")
    club.answers("Sam", "That button is out of date. Please ask again.")


async def test_buttons_under_somebody_elses_message_in_the_group_are_theirs(club: Club) -> None:
    group: Chat = club.standin.add_group(GROUP, ["Nora", "Sam", "Bea", "Zed"], announce=False)
    await club.says("Nora", "/link", group)
    await club.says("Sam", "/free", group)
    shown = club.answers(group, "8 of 8 kits free").message
    assert shown is not None
    for who in ("Bea", "Zed", "Nora"):
        club.standin.press(who, shown, "Book 1")
        await club.settle()
        club.hears_nothing(group)
        club.answers(who, "That button answers somebody else")
    club.standin.press("Sam", shown, "Book 1")
    await club.settle()
    club.answers(group, "Booked: 1 kit")


# -- the token -----------------------------------------------------------------------


@pytest.fixture
def written() -> Iterator[io.StringIO]:
    """Everything that the log of a whole run would have, written as the bot writes it."""
    paper = io.StringIO()
    handler = logging.StreamHandler(paper)
    root = logging.getLogger()
    kept = {name: logging.getLogger(name).level for name in (*logs._QUIETER, "")}
    yield_to = logs.Discreet("")
    handler.setFormatter(yield_to)
    root.addHandler(handler)
    for name in kept:
        logging.getLogger(name).setLevel(logging.NOTSET)
    root.setLevel(logging.DEBUG)
    yield paper
    root.removeHandler(handler)
    for name, level in kept.items():
        logging.getLogger(name).setLevel(level)


async def test_the_token_is_in_no_log_line_even_at_its_most_talkative(
    club: Club, written: io.StringIO
) -> None:
    club.trouble = True
    for fault in ("drop_before", "error", "retry_after"):
        club.standin.faults.add(fault, "sendMessage")
        await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    club.standin.poison()
    await club.says("Sam", "/free")
    said = written.getvalue()
    assert "getUpdates" in said, "the library's own lines are there"
    assert club.standin.token not in said
    assert club.standin.token.partition(":")[2] not in said


async def test_what_is_lost_is_not_put_out_of_use_or_back_as_well(club: Club) -> None:
    await club.says("Nora", "/lost E: gone")
    for text in ("/withdraw E: bent", "/restore E"):
        await club.says("Owen", text)
        club.answers("Owen", "E is noted as lost. /lost shows it")
