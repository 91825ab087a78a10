"""Which kits get a full count, and what a count changes: against the same told in plain words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.counting import changed, listed, spelled, tapped, to_count
from clubbot.rules.ledger import Position, added
from clubbot.rules.model import KitId

NOW = datetime(2026, 10, 16, 16, tzinfo=UTC)
PARTS = ("axle", "cable", "wheel")
some = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 4)).map(
    lambda found: tuple(sorted(found.items()))
)
positions = st.builds(
    Position,
    out_since=st.none() | st.just(NOW),
    missing=some,
    counted_at=st.none() | st.integers(0, 80).map(lambda days: NOW - timedelta(days=days)),
)


@given(st.lists(positions, max_size=20), st.dictionaries(st.integers(0, 19), st.integers(1, 40)))
def test_few_kits_are_picked_and_none_before_one_that_more_speaks_for(
    stand: list[Position], away_days: dict[int, int]
) -> None:
    known = {KitId(number): position for number, position in enumerate(stand)}
    away = {KitId(kit): NOW - timedelta(days=days) for kit, days in away_days.items()}
    picked = to_count(known, away, NOW)
    assert len(picked) <= -(-len(known) // 6)
    chosen = {due.kit for due in picked}
    for kit in chosen:
        assert not known[kit].out
    here = {k: p for k, p in known.items() if not p.out and p.counted_at != NOW}
    short = {kit for kit, position in here.items() if position.missing}
    if not short <= chosen:
        assert chosen <= short, "while one lacks something, none is counted that lacks nothing"
    for due in picked:
        if due.why == "oldest":
            older = {
                kit
                for kit, position in here.items()
                if position.counted_at is not None
                and due.counted_at is not None
                and position.counted_at < due.counted_at
            }
            assert older <= chosen


@given(before=some, after=some)
def test_what_is_new_and_what_is_found_again_make_the_one_count_out_of_the_other(
    before: tuple[tuple[str, int], ...], after: tuple[tuple[str, int], ...]
) -> None:
    new, back = changed(before, after)
    gone = tuple((part, -number) for part, number in back)
    assert added(added(before, new), gone) == after
    assert not {part for part, _ in new} & {part for part, _ in back}


def test_each_tap_is_one_missing_and_one_more_than_there_are_is_none() -> None:
    missing: tuple[tuple[str, int], ...] = ()
    seen = []
    for _ in range(4):
        missing = tapped(missing, "cable", 3)
        seen.append(dict(missing).get("cable", 0))
    assert seen == [1, 2, 3, 0]


def test_a_part_is_found_on_the_list_however_it_is_typed() -> None:
    names = ["long cable", "motor", "small wheel", "big wheel"]
    assert spelled("cables", names) == "long cable"
    assert spelled("Motors", names) == "motor"
    assert spelled("big wheels", names) == "big wheel"
    assert spelled("wheels", names) == "wheels"
    assert spelled("thing", names) == "thing"


def test_what_was_told_missing_under_another_name_stands_at_the_end_of_the_list() -> None:
    contents = [("motor", 2), ("cable", 6)]
    assert listed(contents, (("blue thing", 1), ("cable", 2))) == (
        ("motor", 2, 0),
        ("cable", 6, 2),
        ("blue thing", 1, 1),
    )
