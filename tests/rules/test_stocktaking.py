"""Stocktaking: after the one yes the books say what was seen, wherever a kit was by them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from clubbot.rules.ledger import Detail, Entry, EntryKind, Position, fits, step
from clubbot.rules.model import KitId, Seq, TeamId
from clubbot.rules.stocktaking import (
    NOT_FOUND,
    Looked,
    Seen,
    amends,
    booked,
    next_to_see,
    overtaken,
)

AT = datetime(2026, 10, 2, 16, tzinfo=UTC)
KIT = KitId(1)
PARTS = st.dictionaries(st.sampled_from(["beam", "cable", "wheel"]), st.integers(1, 3)).map(
    lambda found: tuple(sorted(found.items()))
)
POSITIONS = st.builds(
    Position,
    team=st.just(TeamId(1)),
    out_since=st.none() | st.just(AT),
    held=st.none() | st.just("hot"),
    withdrawn=st.sampled_from([None, "bent axle", NOT_FOUND]),
    missing=PARTS,
) | st.builds(Position, lost=st.just("the van"), missing=PARTS)


@given(POSITIONS, st.sampled_from(get_args(Seen)), PARTS)
def test_after_the_yes_the_books_say_what_was_seen(
    position: Position, seen: Seen, missing: tuple[tuple[str, int], ...]
) -> None:
    looked = Looked(KIT, seen, booked(position), missing)
    found = amends(position, looked)
    after = position
    for place, (kind, parts) in enumerate(found.entries if found else ()):
        note = NOT_FOUND if kind is EntryKind.WITHDRAWN else ""
        entry = Entry(
            Seq(place + 1), kind, AT, AT, None, KIT, detail=Detail(note=note, parts=parts)
        )
        assert fits(after, entry)
        after = step(after, entry)
    if seen == "gone":
        assert booked(after) == booked(position)
        assert booked(after) != "shelf" or after.use.value != "in use"
    else:
        assert booked(after) == "shelf"
        assert after.withdrawn != NOT_FOUND
        assert after.missing == (missing if seen == "differs" else position.missing)
    assert after.held == position.held
    # Said once more, there is nothing left to put right but what is out of use anyway.
    again = amends(after, Looked(KIT, seen, booked(after), missing))
    assert again is None or again.entries == ()


@given(POSITIONS, POSITIONS)
def test_only_a_kit_that_moved_by_the_books_is_looked_at_again(
    before: Position, after: Position
) -> None:
    looked = Looked(KIT, "there", booked(before))
    assert overtaken(after, looked) is (booked(after) != booked(before))


@given(st.sets(st.integers(1, 9)), st.integers(1, 9))
def test_a_walk_goes_round_once_and_comes_to_every_kit(seen: set[int], start: int) -> None:
    order = [KitId(kit) for kit in range(1, 10)]
    done = {KitId(kit) for kit in seen}
    at: KitId | None = KitId(start)
    passed: list[KitId] = []
    while (at := next_to_see(order, done, at)) is not None:
        passed.append(at)
        done.add(at)
    assert sorted(passed) == [kit for kit in order if kit not in seen]
    assert passed == [k for k in [*order[start:], *order[:start]] if k not in seen]
