"""The inbox on both servers, held against a plain model of what it promises."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import pytest

from clubbot.store import updates
from clubbot.store.engine import Store
from clubbot.store.updates import REMEMBERED, Inbox, Raw

NOW = datetime(2026, 10, 2, 12, tzinfo=UTC)
BOT, OTHER_BOT = 42, 43


def update(number: int, chat: int = 1) -> Raw:
    return number, chat, {"update_id": number, "message": {"text": f"text {number} 🤖\x00\ud83d"}}


@pytest.fixture
def inbox(store: Store) -> Inbox:
    made = Inbox(store, BOT)
    made.arrive("club_kit_bot", NOW)
    return made


@pytest.mark.parametrize("seed", range(3))
def test_each_update_is_new_once_and_waits_until_it_is_done(inbox: Inbox, seed: int) -> None:
    draw = random.Random(seed)
    waiting: list[Raw] = []
    known: set[int] = set()
    for minute in range(40):
        batch = [update(number) for number in {draw.randrange(60) for _ in range(5)}]
        done = [each[0] for each in waiting if draw.random() < 0.3]
        expected = {each[0] for each in batch} - known
        assert inbox.keep(batch, done, NOW + timedelta(minutes=minute)) == expected
        known |= expected
        new = sorted(each for each in batch if each[0] in expected)
        waiting = [each for each in waiting if each[0] not in done] + new
        assert inbox.waiting() == waiting


def test_two_bots_share_a_database_and_no_update(inbox: Inbox, store: Store) -> None:
    other = Inbox(store, OTHER_BOT)
    other.arrive("other_bot", NOW)
    assert inbox.keep([update(1)], [], NOW) == {1}
    assert other.keep([update(1)], [], NOW) == {1}
    inbox.keep([], [1], NOW)
    assert inbox.waiting() == []
    assert other.waiting() == [update(1)]


def test_what_cannot_be_read_is_kept_aside_and_forgotten_after_a_few_days(
    inbox: Inbox, store: Store
) -> None:
    inbox.keep([update(1), update(2)], [], NOW)
    inbox.set_aside(1)
    assert inbox.waiting() == [update(2)]
    assert inbox.keep([update(1)], [], NOW) == set(), "it is not new again"
    with store.write() as tx:
        updates.forget(tx, NOW + REMEMBERED + timedelta(seconds=1))
    assert inbox.keep([update(1)], [], NOW) == {1}
    assert inbox.waiting() == [update(1), update(2)] or inbox.waiting() == [update(2), update(1)]


def test_what_is_done_is_remembered_as_long_as_the_platform_may_repeat_it(
    inbox: Inbox, store: Store
) -> None:
    inbox.keep([update(1)], [], NOW)
    inbox.keep([], [1], NOW)
    with store.write() as tx:
        updates.forget(tx, NOW + timedelta(hours=25))
    assert inbox.keep([update(1)], [], NOW) == set()
    with store.write() as tx:
        updates.forget(tx, NOW + REMEMBERED + timedelta(seconds=1))
    assert inbox.keep([update(1)], [], NOW) == {1}


def test_an_effect_is_found_again_also_after_its_update_is_done(inbox: Inbox, store: Store) -> None:
    inbox.keep([update(1)], [], NOW)
    with store.write() as tx:
        assert updates.earlier(tx, BOT, 1) is None
        updates.record(tx, BOT, 1, NOW, '{"booked": 7}')
    assert inbox.waiting() == [update(1)], "it was not answered yet"
    inbox.keep([], [1], NOW)
    with store.read() as tx:
        assert updates.earlier(tx, BOT, 1) == '{"booked": 7}'
        assert updates.earlier(tx, OTHER_BOT, 1) is None


def test_an_effect_that_is_undone_leaves_no_record(inbox: Inbox, store: Store) -> None:
    with store.write() as tx:
        updates.record(tx, BOT, 1, NOW, "{}")
        tx.rollback()
    with store.read() as tx:
        assert updates.earlier(tx, BOT, 1) is None


def test_it_is_known_when_the_bot_was_last_at_work(inbox: Inbox) -> None:
    assert inbox.arrive("club_kit_bot", NOW + timedelta(hours=1)) == NOW
    inbox.keep([], [], NOW + timedelta(hours=2))
    assert inbox.arrive("renamed_bot", NOW + timedelta(hours=9)) == NOW + timedelta(hours=2)
