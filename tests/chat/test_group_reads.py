"""A group reads labels and times: never who holds what, who is late, who reported what.

Every command that is of use in a group is typed there by everybody, in a club in which much is
going on, and every button under the answers is pressed, and those under the answers to that.
"""

from __future__ import annotations

import re
from collections.abc import AsyncIterator

import pytest
import sqlalchemy as sa

from clubbot.chat.router import COMMANDS
from clubbot.desk import absence, booking, fault, handover, keeping, losing
from clubbot.rules.model import Role
from clubbot.store.engine import Store
from clubbot.store.tables import PERSON
from tests.chat.offline import Chat, Sent
from tests.desk.scene import Club, make_club

TEAMS = ["Zebrafish", "Narwhal"]
NAME = "Quagga"
TYPED = (
    "A", "D", "2 kits mon 16:00 to 17:30", "8 kits mon 16:00 to 17:30", "kit A fri 15:30 to 17:00",
    "A: the arm is bent", "fri 15:30 to 17:00", "nothing", "here", "quiet",
)  # fmt: skip
SPOKEN = (
    "A is back", "unit A keeps dying", "D won't start", "what is out?", "3 kits fri 15:30 to 17:00",
    "who has A?", "hello", "ran flat", "A ran flat after 20 minutes",
)  # fmt: skip
DEPTH = 2


def busy(club: Club) -> None:
    """Let a lot go on: kits out and late, faults, a hold, a keep, something lost, an absence."""
    with club.store.write() as tx:
        for row in tx.execute(sa.select(PERSON)).all():
            name = f"{NAME} {row.id}"
            tx.execute(sa.update(PERSON).where(PERSON.c.id == row.id).values(name=name))
    club.student(booking.request, "A and B Fri 15:30-17:00")
    other = club.newcomer(f"{NAME} too", Role.STUDENT, [TEAMS[1]])
    other(booking.request, "2 kits Fri 15:30-17:00")
    other(booking.request, "4 kits Mon 16:00-17:30")
    club.leader(keeping.keep, f"F {TEAMS[1]} until 20 Oct")
    club.set("2026-10-02 15:25")
    club.helper(handover.give_out, "")
    club.student(fault.report, f"A: {NAME} broke it")
    club.student(fault.report, f"the battery of E is smoking, {NAME} did it")
    club.leader(losing.lose, f"tablet C: {NAME} had it")
    club.leader(absence.go_away, f"until 9 Oct {NAME} {club.co_leader.id}")
    club.set("2026-10-02 19:00")
    club.mail()


@pytest.fixture
async def chat(sqlite_store: Store) -> AsyncIterator[Chat]:
    made = Chat(make_club(sqlite_store, labels="ABCDEF", teams=TEAMS))
    busy(made.club)
    await made.open()
    yield made
    await made.application.shutdown()


def fit_for_a_group(chat: Chat, what: str) -> list[Sent]:
    """Return what the group was told just now; fail where it says more than labels and times."""
    told = [each for each in chat.platform.sent if each.chat_id == chat.club.group]
    chat.platform.sent.clear()
    for each in told:
        for word in (NAME, *TEAMS):
            assert word not in each.text, f"{what}: {each.text}"
        assert not re.search(r"\b(late|overdue)\b", each.text, re.IGNORECASE), (
            f"{what}: {each.text}"
        )
    return told


@pytest.mark.parametrize("role", [Role.LEADER, Role.HELPER, Role.STUDENT, Role.DOOR])
async def test_nothing_that_a_group_reads_names_anybody(chat: Chat, role: Role) -> None:
    said = [f"@club_kit_bot {text}" for text in SPOKEN]
    said += [f"/{row.name}" for row in COMMANDS]
    said += [f"/{row.name} {text}" for row in COMMANDS if row.group for text in TYPED]
    heard = 0
    for text in said:
        await chat.says(role, text, group=True)
        told = fit_for_a_group(chat, text)
        heard += len(told)
        pressed: set[str] = set()
        for _ in range(DEPTH):
            new = {data for each in told for data in each.data} - pressed
            pressed |= new
            told = []
            for data in sorted(new):
                await chat.presses(role, data, group=True)
                told += fit_for_a_group(chat, f"{text}, then {data}")
    assert heard > 40
