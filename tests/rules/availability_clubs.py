"""Invented fleets and bookings for the availability tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from clubbot.rules.availability import Battery, Demand, Fleet, FleetKit, ResourceId
from clubbot.rules.model import BookingId, KitId, KitTypeId, TeamId, Window

DAY = datetime(2026, 10, 2, 8, tzinfo=UTC)
BUILD = KitTypeId(1)
MAT = ResourceId(7)

Club = tuple[Fleet, list[Demand], Demand]
"""A fleet, the bookings so far, and a request."""


def hours(start: float, end: float) -> Window:
    """So many hours after eight."""
    return Window(DAY + timedelta(hours=start), DAY + timedelta(hours=end))


def fleet_of(count: int, **more: object) -> Fleet:
    """Kits 1 to `count`, all alike."""
    return replace(
        Fleet(tuple(FleetKit(KitId(number), BUILD) for number in range(1, count + 1))),
        **more,
    )


def booking(number: int, window: Window, count: int = 1, **more: object) -> Demand:
    """A booking by count, of a team of its own."""
    return replace(Demand(BookingId(number), window, BUILD, count), **more)


def windows(last: int) -> st.SearchStrategy[Window]:
    """Windows in quarter hours that start up to `last` of them after eight."""
    return st.builds(
        lambda start, length: hours(start / 4, (start + length) / 4),
        st.integers(0, last),
        st.integers(1, 7),
    )


@st.composite
def kits(draw: st.DrawFn, number: int, types: int, batteries: bool, charged: bool) -> FleetKit:
    battery = None
    if batteries and draw(st.booleans()):
        moments = draw(st.lists(st.integers(0, 18), unique=True, max_size=2 if charged else 0))
        battery = Battery(
            draw(st.integers(20, 90)),
            draw(st.integers(0, 30)),
            tuple(DAY + timedelta(minutes=15 * moment) for moment in sorted(moments)),
        )
    return FleetKit(
        KitId(number),
        KitTypeId(draw(st.integers(1, types))),
        (draw(windows(14)),) if draw(st.integers(0, 3)) == 3 else (),
        battery,
        draw(st.integers(0, 3)),
    )


@st.composite
def clubs(draw: st.DrawFn, charged: bool = True) -> Club:
    """Up to five kits, five bookings and a request; crowded ones, and such with all there is."""
    crowded = draw(st.booleans())
    types = 1 if crowded else draw(st.integers(1, 2))
    batteries = draw(st.booleans())
    count = draw(st.integers(2 if crowded else 1, 5))
    fleet = Fleet(
        tuple(draw(kits(number, types, batteries, charged)) for number in range(1, count + 1)),
        {MAT: draw(st.integers(0, 3))},
        timedelta(minutes=draw(st.sampled_from([0, 15, 30]))),
    )
    labels = st.integers(1, count).map(KitId)

    def demand(number: int) -> Demand:
        wanted = draw(st.sampled_from([1, 1, 2] if crowded else [1, 2, 3]))
        named = draw(st.integers(0, 9 if crowded else 2)) == 0
        fixed = draw(st.lists(labels, unique=True, max_size=min(wanted, count))) if named else []
        return Demand(
            BookingId(number),
            draw(windows(10 if crowded else 20)),
            KitTypeId(draw(st.integers(1, types))),
            wanted,
            draw(st.none() | st.integers(1, 3).map(TeamId)),
            tuple(fixed),
            tuple(draw(st.lists(labels, unique=True, max_size=2))),
            tuple(draw(st.lists(labels, unique=True, max_size=2))),
            draw(st.sampled_from([0, 20, 30, 45])) if batteries else 0,
            {} if crowded else {MAT: draw(st.sampled_from([0, 0, 1, 2]))},
            keep=bool(fixed) and draw(st.booleans()),
        )

    return fleet, [demand(number) for number in range(1, draw(st.integers(1, 5)) + 1)], demand(9)
