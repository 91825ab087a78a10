"""Whatever a club does, in whatever order, no kit is ever promised to two teams at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import combinations
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.desk import booking, handover, passing, usability
from clubbot.rules.ledger import Use
from clubbot.rules.model import Window
from clubbot.rules.results import HandedOut, PassedOn, SessionHandedOut
from clubbot.store import bookings
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club

TEAMS = ("Red", "Blue", "Green")
KITS = "ABC"
TIMES = ("15:30", "16:00", "16:30", "17:00")

_team = st.sampled_from(TEAMS)
_kit = st.sampled_from(KITS)
_span = st.tuples(st.integers(0, 2), st.integers(1, 2))
_which = st.integers(0, 3)
_deeds = st.one_of(
    st.tuples(st.just("book"), st.integers(1, 2), _team, _span),
    st.tuples(st.just("ask for"), _kit, _team, _span),
    st.tuples(st.just("ask for"), _kit, _team, _span),
    st.tuples(st.just("give out"), st.just(""), _team),
    st.tuples(st.just("give out"), _kit, _team),
    st.tuples(st.just("give out"), _kit, _team),
    st.tuples(st.just("back"), _which),
    st.tuples(st.just("pass on"), _which, _team),
    st.tuples(st.just("pass on"), _which, _team),
    st.tuples(st.just("cancel"), st.integers(1, 6)),
    st.tuples(st.just("change use"), _kit),
    st.tuples(st.just("wait"), st.sampled_from([5, 30])),
    st.tuples(st.just("undo a giving out")),
)
"""What is given back or passed on is one of those that are out, by its place among them."""


def _do(club: Club, deed: tuple[Any, ...], last: list[object]) -> None:
    match deed:
        case ("book", count, team, (first, length)):
            when = f"Fri {TIMES[first]}-{TIMES[min(first + length, 3)]}"
            club.leader(booking.request, f"{count} kits for {team} {when}")
        case ("ask for", kit, team, (first, length)):
            when = f"Fri {TIMES[first]}-{TIMES[min(first + length, 3)]}"
            club.leader(booking.request, f"kit {kit} for {team} {when}")
        case ("give out", kit, team):
            last.append(club.leader(handover.give_out, f"{kit} for {team}" if team else ""))
        case ("back", which) if out := club.out():
            club.leader(handover.back, out[which % len(out)])
            last.clear()
        case ("pass on", which, team) if out := club.out():
            last.append(club.leader(passing.pass_on, f"{out[which % len(out)]} to {team}"))
        case ("cancel", number):
            club.leader(booking.cancel, number)
        case ("change use", kit):
            usable = club.stands(str(kit)).position.use is Use.IN_USE
            club.leader(usability.withdraw if usable else usability.restore, kit)
            last.clear()
        case ("wait", minutes):
            club.later(minutes=minutes)
        case ("undo a giving out",):
            if last and isinstance(last[-1], HandedOut | PassedOn | SessionHandedOut):
                club.leader(handover.undo)
                last.clear()


def _promised_twice(club: Club) -> Iterator[str]:
    """Yield each kit that two bookings which aren't over are to have at the same time."""
    with club.store.read() as tx:
        day = Window(club.now, club.now + timedelta(days=1))
        live = bookings.between(tx, club.id, day)
    for one, other in combinations(live, 2):
        if one.window.overlaps(other.window):
            for kit in {*one.chosen} & {*other.chosen}:
                yield f"kit {kit}: bookings {one.number} and {other.number}"


def _out_without_promise(club: Club) -> Iterator[str]:
    """Yield each kit that is out, not yet due, and of no booking that would keep it."""
    with club.store.read() as tx:
        for label in club.out():
            now = club.stands(label)
            if now.position.due is None or now.position.due <= club.now:
                continue
            found = bookings.by_id(tx, club.id, [now.position.booking or 0])
            if not any(now.kit.id in each.chosen for each in found.values()):
                yield label


@settings(
    max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], print_blob=True
)
@given(story=st.lists(_deeds, min_size=8, max_size=16))
def test_no_kit_is_promised_twice_whatever_people_do(
    sqlite_store: Store, story: list[tuple[object, ...]]
) -> None:
    club = make_club(sqlite_store, labels=KITS, teams=TEAMS, now="2026-10-02 15:25")
    last: list[object] = []
    for deed in story:
        _do(club, deed, last)
        assert list(_promised_twice(club)) == [], deed
        assert list(_out_without_promise(club)) == [], deed
    assert club.audit() == []
