"""The bot as a process of its own, killed at the worst moments: nothing lost, nothing twice."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from clubbot.rules.model import ClubId, Role
from clubbot.store import clubs, people, schema
from clubbot.store.engine import Store
from clubbot.store.tables import INVITATION, NOTICE
from demo.standin import StandIn
from tests.crash_runner import POINTS

ROOT = Path(__file__).parents[1]
ADA = 700_000_001
CODE = "letmeinplease"
USES = 30
REMINDED = "after a reminder was sent, before its mark"
TOLD = {"after the answer, before its mark": (2,), REMINDED: (1, 2)}
"""How often the answer may come, where that isn't once."""
KILLED, STOPPED = (1, 1) if os.name == "nt" else (-9, 0)


def _noon_zone(now: datetime) -> str:
    """A zone in which it is noon, so that no quiet hours hold a notice back (its sign is west)."""
    return f"Etc/GMT{now.hour - 12:+d}"


class Club:
    """A club in a database file, as a person with a database tool would see it."""

    def __init__(self, url: str) -> None:
        self.store = Store(url)
        schema.upgrade(self.store)
        now = datetime.now(UTC)
        with self.store.write() as tx:
            self.id = clubs.found(tx, "Robot club", _noon_zone(now), now)
            people.add(tx, self.id, ADA, "Ada", Role.LEADER, now)
            people.invite(tx, self.id, CODE, Role.HELPER, now + timedelta(days=1), USES)

    def knocks(self) -> list[str]:
        with self.store.read() as tx:
            return [knock.name for knock in people.knocks(tx, ClubId(self.id))]

    def code_uses(self) -> int:
        with self.store.read() as tx:
            return USES - int(tx.execute(sa.select(INVITATION.c.uses_left)).scalar_one())

    def notices(self) -> list[str]:
        with self.store.read() as tx:
            return list(tx.execute(sa.select(NOTICE.c.state)).scalars())

    def leases_run_out(self) -> None:
        """As if the minute and a half had passed for which a dead process holds a notice."""
        with self.store.write() as tx:
            tx.execute(sa.update(NOTICE).values(lease_until=datetime(2020, 1, 1, tzinfo=UTC)))


@pytest.fixture
def club(sqlite_url: str) -> Club:
    return Club(sqlite_url)


@asynccontextmanager
async def bot(
    standin: StandIn, url: str, *command: str
) -> AsyncIterator[asyncio.subprocess.Process]:
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    own = {
        "CLUBBOT_TOKEN": standin.token,
        "CLUBBOT_API_URL": standin.base_url,
        "CLUBBOT_DATABASE_URL": url,
        "PYTHONPATH": str(ROOT),
    }
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", *command, cwd=ROOT / "tests", env=kept | own
    )
    try:
        yield process
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()


@pytest.mark.parametrize("point", POINTS)
async def test_a_kill_loses_nothing_and_nothing_happens_twice(
    point: str, club: Club, sqlite_url: str
) -> None:
    async with StandIn() as standin:
        ada = standin.add_person("Ada", started=True, id=ADA)
        ben = standin.add_person("Ben")
        async with bot(standin, sqlite_url, "tests.crash_runner", point) as first:
            standin.say(ben, f"/start {CODE}")
            assert await asyncio.wait_for(first.wait(), 60) == KILLED
        club.leases_run_out()
        async with bot(standin, sqlite_url, "clubbot", "run") as second:
            polls = standin.updates.polls
            await standin.wait_for(lambda: standin.updates.polls > polls, 60)
            answer = await standin.wait_for_text(ben, "Robot club", 60)
            notice = await standin.wait_for_text(ada, "Ben", 60)
            await standin.idle(0.5, 60)
            second.terminate()
            assert await asyncio.wait_for(second.wait(), 30) == STOPPED
        assert club.notices() == ["sent"]
        assert club.knocks() == ["Ben"]
        assert club.code_uses() == 1
        assert standin.updates.waiting == []
        # What was being said at that moment may be said once more, and only that.
        told = [m.text for m in standin.messages(ben) if m.from_bot]
        assert told in [[answer.text] * times for times in TOLD.get(point, (1,))]
        owed = [m.text for m in standin.messages(ada)]
        assert owed == [notice.text] * (2 if point == REMINDED else 1)
