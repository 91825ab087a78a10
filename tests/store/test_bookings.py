"""Bookings out of the store are those that a look through all of them finds."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.rules.model import BookingId, ClubId, KitId, PersonId, Role, TeamId, Window
from clubbot.store import bookings, clubs, kits, people
from clubbot.store.engine import Store
from clubbot.store.tables import BOOKING, BOOKING_KIT

START = datetime(2026, 9, 1, 14, tzinfo=UTC)
HALF_HOUR = timedelta(minutes=30)


@dataclass(frozen=True)
class Made:
    """One booking, in half-hours from the start; kits, team and person by their place."""

    at: int
    length: int
    team: int | None
    person: int | None
    chosen: frozenset[int]
    cancelled: bool
    ended: bool
    id: BookingId | None = None

    @property
    def window(self) -> Window:
        start = START + self.at * HALF_HOUR
        return Window(start, start + self.length * HALF_HOUR)


_made = st.builds(
    Made,
    at=st.integers(0, 40),
    length=st.integers(1, 8),
    team=st.none() | st.integers(0, 1),
    person=st.none() | st.integers(0, 1),
    chosen=st.frozensets(st.integers(0, 2), min_size=1),
    cancelled=st.sampled_from([False, False, True]),
    ended=st.sampled_from([False, False, True]),
)


@dataclass(frozen=True)
class Scene:
    club: ClubId
    kits: list[KitId]
    teams: list[TeamId]
    people: list[PersonId]


def _scene(store: Store) -> Scene:
    with store.write() as tx:
        club = clubs.found(tx, "Club", "Europe/Dublin", START)
        kit_type = next(iter(clubs.kit_types(tx, club)))
        kits.add(tx, club, kit_type, "ABC")
        teams = [clubs.add_team(tx, club, name).id for name in ("Red", "Blue")]
        somebody = [people.add(tx, club, n, "x", Role.STUDENT, START) for n in (1, 2)]
        return Scene(club, list(kits.kits(tx, club)), teams, somebody)


def _book(store: Store, scene: Scene, made: list[Made]) -> list[Made]:
    """Put these bookings into the store through its own functions, one after the other."""
    found: list[Made] = []
    with store.write() as tx:
        kit_type = next(iter(clubs.kit_types(tx, scene.club)))
        for each in made:
            booking = bookings.add(
                tx,
                scene.club,
                team=None if each.team is None else scene.teams[each.team],
                kit_type=kit_type,
                count=len(each.chosen),
                window=each.window,
                booked_by=None if each.person is None else scene.people[each.person],
                now=START,
            ).id
            chosen = [scene.kits[place] for place in sorted(each.chosen)]
            bookings.choose(tx, scene.club, booking, chosen, frozenset(chosen[:1]), None)
            if each.cancelled:
                bookings.cancel(tx, scene.club, booking, START)
            if each.ended:
                bookings.end(tx, scene.club, booking, START)
            found.append(replace(each, id=booking))
    return found


def _apart(one: Window, other: Window) -> timedelta:
    """The time that lies between two windows; less than nothing where they overlap."""
    return max(one.start - other.end, other.start - one.end)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    made=st.lists(_made, max_size=12),
    at=st.integers(0, 40),
    length=st.integers(1, 8),
    gap=st.integers(0, 3),
)
def test_queries_of_bookings_find_what_a_look_through_all_of_them_finds(
    store: Store, made: list[Made], at: int, length: int, gap: int
) -> None:
    scene = _scene(store)
    everything = _book(store, scene, made)
    window = Window(START + at * HALF_HOUR, START + (at + length) * HALF_HOUR)
    standing = [each for each in everything if not each.cancelled]
    live = [each for each in standing if not each.ended]
    with store.read() as tx:
        found = bookings.between(tx, scene.club, window, gap * HALF_HOUR)
        mine = bookings.of_person(tx, scene.club, scene.people[0], [scene.teams[1]], window.start)
        uses = bookings.uses(tx, scene.club, window)
        next_start = bookings.next_start(tx, scene.club, scene.kits[0], window.start)
        last = bookings.last_kits(tx, scene.club, scene.teams[0], window.start)
    near = [b for b in live if _apart(b.window, window) < gap * HALF_HOUR]
    assert [b.id for b in found] == [
        b.id for b in sorted(near, key=lambda b: (b.window.start, b.id))
    ]
    for booking in found:
        source = next(each for each in everything if each.id == booking.id)
        assert set(booking.chosen) == {scene.kits[place] for place in source.chosen}
        assert booking.named == (scene.kits[min(source.chosen)],)
        assert booking.window == source.window
    assert {b.id for b in mine} == {
        b.id for b in live if b.window.end > window.start and (b.person == 0 or b.team == 1)
    }
    assert uses == Counter(
        scene.kits[place] for each in live if each.window.overlaps(window) for place in each.chosen
    )
    starts = [b.window.start for b in live if 0 in b.chosen and b.window.start > window.start]
    assert next_start == min(starts, default=None)
    before = [b for b in standing if b.team == 0 and b.window.start < window.start]
    latest = max((b.window.start for b in before), default=None)
    candidates = [
        {scene.kits[place] for place in b.chosen} for b in before if b.window.start == latest
    ]
    assert set(last) in candidates if candidates else last == ()


def test_numbers_count_up_from_one_in_each_club(store: Store) -> None:
    one = _scene(store)
    with store.write() as tx:
        number = clubs.found(tx, "Other", "Europe/Dublin", START)
        kits.add(tx, number, next(iter(clubs.kit_types(tx, number))), "A")
        other = Scene(number, list(kits.kits(tx, number)), [], [])
    each = Made(0, 1, None, None, frozenset({0}), cancelled=False, ended=False)
    for scene in (one, one, other, one, other):
        _book(store, scene, [each])
    with store.read() as tx:
        rows = tx.execute(sa.select(BOOKING.c.club_id, BOOKING.c.number).order_by(BOOKING.c.id))
        assert [(row.club_id == one.club, row.number) for row in rows] == [
            (True, 1),
            (True, 2),
            (False, 1),
            (True, 3),
            (False, 2),
        ]


def test_a_cancelled_bookings_number_is_not_given_to_another(store: Store) -> None:
    scene = _scene(store)
    gone = Made(0, 1, None, None, frozenset({0}), cancelled=True, ended=False)
    _book(store, scene, [gone, gone, replace(gone, cancelled=False)])
    with store.read() as tx:
        assert bookings.by_number(tx, scene.club, 2) is None
        third = bookings.by_number(tx, scene.club, 3)
    assert third is not None


def test_a_booking_of_one_club_is_not_found_by_another(store: Store) -> None:
    scene = _scene(store)
    with store.write() as tx:
        other = clubs.found(tx, "Other", "Europe/Dublin", START)
    made = _book(store, scene, [Made(0, 2, 0, 0, frozenset({0}), cancelled=False, ended=False)])
    window = made[0].window
    with store.write() as tx:
        assert bookings.between(tx, other, window) == []
        assert bookings.by_id(tx, other, [made[0].id]) == {}
        assert bookings.by_number(tx, other, 1) is None
        assert bookings.uses(tx, other, window) == {}
        bookings.cancel(tx, other, made[0].id, START)
        bookings.drop(tx, other, made[0].id, scene.kits)
        bookings.told(tx, other, made[0].id, START)
    with store.read() as tx:
        (booking,) = bookings.between(tx, scene.club, window)
        assert booking.chosen == (scene.kits[0],)
        assert booking.told == ()
        assert tx.execute(sa.select(sa.func.count()).select_from(BOOKING_KIT)).scalar_one() == 1
