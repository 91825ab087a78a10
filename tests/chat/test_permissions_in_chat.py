"""Every command and every button, by every role: what the one table forbids does nothing.

The library's whole application runs here with the bot's own handlers, gate and desk; only the
platform is a few lines that say yes. Commands and buttons are those of the router, so that a new
one is tried as soon as it has its row.
"""

from __future__ import annotations

import functools
import itertools
import re
import re._parser as sre  # type: ignore[import-not-found]  # what patterns are made of
from collections.abc import AsyncIterator, Iterator
from typing import Any

import pytest
import sqlalchemy as sa

from clubbot.chat.router import COMMANDS, VERBS
from clubbot.desk import booking, handover
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import ALLOWED, Deed
from clubbot.rules.results import Booked, HandedOut
from clubbot.store.engine import Store
from clubbot.store.tables import BOOKING, POSITION
from tests.chat.offline import Chat
from tests.desk.planted import NUMBER, Planted, plant
from tests.desk.scene import Club, dump, make_club
from tests.desk.test_clubs_apart import rows_of

ROLES = list(Role)
STRANGER = Refused(Reason.NO_SUCH_CLUB)


@pytest.fixture
async def chat(sqlite_store: Store) -> AsyncIterator[Chat]:
    made = Chat(make_club(sqlite_store, labels="ABCD", teams=["Red", "Blue"]))
    await made.open()
    yield made
    await made.application.shutdown()


@pytest.fixture
def planted(chat: Chat) -> Planted:
    """Another club, each of whose rows has the same number and whose texts are all known."""
    other = make_club(chat.club.store, name="Other", labels=["Z1"], teams=["Faraway"])
    return plant(chat.club.store, other)


def spoken(name: str, help_line: str) -> list[str]:
    """Return a command alone and in every way that its line of help shows."""
    shown = re.findall(rf"/{name}( [^,:]+(?:: [^,]+)?)", help_line)
    return [f"/{name}", *(f"/{name}{rest}" for rest in shown[:1])]


_NUMBERS = {
    r"[0-9]{9,10}": "1790000000",
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}": "2026-10-02",
    r"\d{4}-\d\d-\d\d": "2026-10-02",
    r"[ -~]{1,60}": "A",
}


@functools.cache
def facts_for(pattern: str, number: int) -> list[str]:
    """Return facts that a button's verb takes, every number in them this one."""
    for piece, value in {**_NUMBERS, r"[0-9]{1,9}": str(number)}.items():
        pattern = pattern.replace(piece, value)
    return list(_matching(sre.parse(pattern)))


def _matching(tree: Any) -> Iterator[str]:
    """Yield a shortest text for each way through a parsed pattern."""
    pieces: list[list[str]] = []
    for kind, what in tree:
        if kind is sre.LITERAL:
            pieces.append([chr(what)])
        elif kind is sre.IN:
            first, of = what[0]
            digit = first is sre.CATEGORY
            pieces.append(["1" if digit else chr(of[0] if first is sre.RANGE else of)])
        elif kind is sre.MAX_REPEAT:
            least, _, inner = what
            pieces.append(["".join(way) for way in [list(_matching(inner))[:1] * least]])
        elif kind is sre.SUBPATTERN:
            pieces.append(list(_matching(what[3])))
        else:
            assert kind is sre.BRANCH, f"teach this test {kind}"
            pieces.append([way for branch in what[1] for way in _matching(branch)])
    yield from ("".join(way) for way in itertools.product(*pieces))


def taps(number: int) -> Iterator[tuple[str, str]]:
    """Yield every verb with what its button says, every number in it this one."""
    for verb, row in VERBS.items():
        for facts in facts_for(row.facts, number)[:4]:
            assert re.fullmatch(row.facts, facts), verb
            yield verb, f"v1:{verb}:{facts}" if facts else f"v1:{verb}"


def refused_rightly(role: Role, asked: list[tuple[Deed | None, object]]) -> None:
    """Fail where somebody got an answer that their role may not have, or a no that it may."""
    for what, value in asked:
        if what is None:
            continue
        wanted = isinstance(value, Refused) and value.reason in (
            Reason.NOT_ALLOWED,
            Reason.NO_SUCH_CLUB,
        )
        if role not in ALLOWED[what]:
            assert wanted, (what, value)
        elif isinstance(value, Refused) and value.reason is Reason.NOT_ALLOWED:
            assert value.facts["deed"] != str(what), (what, value)


LAST = {"leave", "remove", "role"}
"""After these somebody may do less than their role says."""


@pytest.mark.parametrize("role", ROLES)
async def test_a_command_does_what_the_table_allows_and_nothing_else(
    chat: Chat, role: Role
) -> None:
    forbidden = [row for row in COMMANDS if row.deed and role not in ALLOWED[row.deed]]
    before = dump(chat.club.store)
    for row in forbidden:
        for text in spoken(row.name, row.help):
            asked = await chat.says(role, text)
            refused_rightly(role, asked)
            asked = [(what, value) for what, value in asked if value is not False]
            assert all(isinstance(value, Refused) for _, value in asked), text
    assert dump(chat.club.store) == before
    allowed = [row for row in COMMANDS if row not in forbidden]
    for row in sorted(allowed, key=lambda each: each.name in LAST):
        for text in spoken(row.name, row.help):
            refused_rightly(role, await chat.says(role, text))


@pytest.mark.parametrize("role", ROLES)
async def test_a_button_does_what_the_table_allows_and_else_nothing(chat: Chat, role: Role) -> None:
    undecided, forbidden = set(VERBS), []
    for verb, data in sorted(taps(1), key=lambda each: each[0] in LAST):
        asked = await chat.presses(role, data) or await chat.presses(role, data, group=True)
        refused_rightly(role, asked)
        undecided -= {verb} if asked else set()
        deeds = [what for what, _ in asked if what is not None]
        if deeds and all(role not in ALLOWED[what] for what in deeds):
            forbidden.append(data)
    assert undecided == set(), "no use case decides on these"
    before = dump(chat.club.store)
    for data in forbidden:
        await chat.presses(role, data)
    assert dump(chat.club.store) == before
    assert forbidden or role.adult


@pytest.mark.parametrize("role", [Role.LEADER, Role.STUDENT])
async def test_nothing_that_is_typed_or_tapped_reaches_another_club(
    chat: Chat, planted: Planted, role: Role
) -> None:
    store = chat.club.store
    before = rows_of(store, planted.club)
    named = [planted.label, planted.team, planted.person, str(NUMBER)]
    for row in sorted(COMMANDS, key=lambda each: each.name in LAST):
        for word in named:
            chat.platform.said.clear()
            await chat.says(role, f"/{row.name} {word}")
            assert planted.seen_in(chat.platform.said, set(named)) == set(), (row.name, word)
    for _, data in sorted(taps(NUMBER), key=lambda each: each[0] in LAST):
        chat.platform.said.clear()
        await chat.presses(role, data)
        assert planted.seen_in(chat.platform.said, set(named)) == set(), data
    assert rows_of(store, planted.club) == before


async def test_a_student_can_neither_cancel_nor_change_nor_return_what_is_another_teams(
    chat: Chat,
) -> None:
    club = chat.club
    other = club.newcomer("Bea", Role.STUDENT, ["Blue"])
    assert isinstance(other(booking.request, "A Fri 15:30-17:00"), Booked)
    club.set("2026-10-02 15:20")
    assert isinstance(club.helper(handover.give_out, "A Blue"), HandedOut)
    club.later(minutes=1)
    other(booking.request, "4 kits Mon 16:00-17:30")
    theirs = _of_another_team(club)
    for row in sorted(COMMANDS, key=lambda each: each.name in LAST):
        for text in ("1", "A", "1 2 kits", "A Blue", "all"):
            await chat.says(Role.STUDENT, f"/{row.name} {text}")
            assert _of_another_team(club) == theirs, (row.name, text)
    for number in (1, 2):
        for _, data in sorted(taps(number), key=lambda each: each[0] in LAST):
            await chat.presses(Role.STUDENT, data)
            assert _of_another_team(club) == theirs, data


def _of_another_team(club: Club) -> list[str]:
    """Return the other team's bookings, and where the kit is that it has."""
    with club.store.read() as tx:
        mine = sa.select(BOOKING).where(BOOKING.c.id.in_((1, 2))).order_by(BOOKING.c.id)
        kit = sa.select(POSITION.c.team_id, POSITION.c.booking_id, POSITION.c.out_since)
        has = kit.where(POSITION.c.subject == "kit", POSITION.c.subject_id == club.kit("A"))
        return [repr(row) for row in (*tx.execute(mine), *tx.execute(has))]


async def test_nobody_presses_a_button_under_the_answer_to_somebody_else(chat: Chat) -> None:
    before = dump(chat.club.store)
    for verb, data in taps(1):
        chat.platform.said.clear()
        assert await chat.presses(Role.LEADER, data, group=True, under=Role.STUDENT) == [], verb
        assert "answers somebody else" in chat.platform.said[0]
    assert dump(chat.club.store) == before


FORGED = (
    "", "v1", "v1:", ":", "v0:cancel:1", "v2:cancel:1", "V1:cancel:1", "v1:nothing:1",
    "v1:cancel:\u0661", "v1:cancel:-1", "v1:cancel:1;2", "v1:cancel:1:all:1", "v1:cancel: 1",
    "v1:cancel:99999999999999999999", "v1:cancel:1\n", "v1:__class__", "v1:letin", "v1:remove:",
    "x" * 64, "\x00", "v1:say:\u202e", "v1:team:1e3", "v1:club:0x1",
)  # fmt: skip


async def test_what_no_button_of_the_bot_says_is_out_of_date_and_asks_nobody(chat: Chat) -> None:
    before = dump(chat.club.store)
    broken = [f"{data}!\u00e9" for _, data in taps(1)] + [f"{data}\n" for _, data in taps(1)]
    for data in (*FORGED, *broken):
        chat.platform.said.clear()
        assert await chat.presses(Role.LEADER, data) == [], data
        assert "out of date" in chat.platform.said[0], data
    assert dump(chat.club.store) == before


async def test_numbers_that_nobody_has_change_nothing(chat: Chat) -> None:
    for _, data in taps(999_999_999):
        await chat.presses(Role.LEADER, data)
    assert not any("went wrong" in each for each in chat.platform.said)


async def test_a_leader_of_one_club_is_a_stranger_in_another_ones_group(
    chat: Chat, planted: Planted
) -> None:
    group = chat.club.group
    store = chat.club.store
    other = make_club(store, name="Third", labels=["Y1"], teams=["Elsewhere"])
    chat.club.group = other.group
    before = rows_of(store, other.id)
    for row in COMMANDS:
        if row.group and row.name not in ("link", "help"):
            asked = await chat.says(Role.LEADER, f"/{row.name} Y1", group=True)
            assert all(value == STRANGER for _, value in asked), row.name
    assert rows_of(store, other.id) == before
    chat.club.group = group
