"""Which bookings of a session can go along to another time, and with which kits: decided exactly.

All of a session's bookings are looked at together. Those that can't go along keep their kits at
the old time, also where that is close to the new one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from clubbot.desk.acting import Who
from clubbot.desk.fleet import Picture, assign, picture
from clubbot.desk.promising import FEW
from clubbot.rules.availability import Answer, Demand, Impossible, Limit, Possible, decide
from clubbot.rules.model import BookingId, KitId, Window
from clubbot.rules.moving import in_place_of
from clubbot.rules.results import BookingView, LeftBehind, LeftFor
from clubbot.store import bookings, sessions
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx

_LIMITS: Mapping[Limit, LeftFor] = {
    Limit.KITS: "kits",
    Limit.NAMED: "named",
    Limit.BATTERY: "battery",
    Limit.RESOURCE: "resource",
}


@dataclass(slots=True)
class Outcome:
    """Which bookings go along, and what keeps the others."""

    moved: dict[BookingId, Window] = field(default_factory=dict)
    kits: dict[BookingId, tuple[KitId, ...]] = field(default_factory=dict)
    stay: dict[BookingId, tuple[int, LeftFor]] = field(default_factory=dict)
    along: tuple[BookingView, ...] = ()
    left: tuple[LeftBehind, ...] = ()


def bring(tx: Tx, who: Who, mine: Sequence[LiveBooking], before: Window, after: Window) -> Outcome:
    """Take a session's bookings along, as many as can be, and show what became of each."""
    seen = picture(tx, who, after)
    staying: dict[BookingId, tuple[int, LeftFor]] = {
        each.id: (0, "out") for each in mine if seen.out_for(each)
    }
    while True:
        outcome = _tried(seen, mine, staying, before, after)
        if len(outcome.stay) == len(staying):
            break
        # What stays keeps its kits at the old time, which may be near the new one.
        staying = outcome.stay
    settle(tx, who, seen, mine, outcome)
    now = bookings.by_id(tx, who.club, [each.id for each in mine])
    fresh = picture(tx, who, after)
    outcome.along = tuple(fresh.shown(now[each.id]) for each in mine if each.id in outcome.moved)
    outcome.left = tuple(
        LeftBehind(fresh.shown(now[each.id]), *outcome.stay[each.id])
        for each in mine
        if each.id in outcome.stay
    )
    return outcome


def _tried(
    seen: Picture,
    mine: Sequence[LiveBooking],
    staying: Mapping[BookingId, tuple[int, LeftFor]],
    before: Window,
    after: Window,
) -> Outcome:
    outcome = Outcome(stay=dict(staying))
    going = {each.id for each in mine} - staying.keys()
    others = {each.id: each for each in (*seen.bookings, *mine) if each.id not in going}
    demands = list(replace(seen, bookings=tuple(others.values())).demands)
    for booking in sorted(mine, key=lambda each: each.number):
        if booking.id not in going:
            continue
        window = in_place_of(booking.window, before, after)
        if window is None:
            outcome.stay[booking.id] = (0, "time")
            continue
        demand = wanted_then(seen, booking, window)
        answer = decided(seen, demands, demand, booking)
        if isinstance(answer, Possible):
            demands.append(demand)
            outcome.moved[booking.id] = window
            outcome.kits |= answer.assignment
        else:
            outcome.stay[booking.id] = _what_would_do(seen, demands, demand, answer)
    return outcome


def wanted_then(
    seen: Picture, booking: LiveBooking, window: Window, *, named: bool = True
) -> Demand:
    """Return a booking as it is wanted then: told labels may change if they must, named not."""
    asked = booking.named if named else ()
    fixed = dict.fromkeys((*asked, *seen.kept_for(booking.team, window)))
    there = replace(booking, window=window, named=(), told=())
    return replace(
        seen.demand(there),
        fixed=tuple(fixed)[: booking.count],
        told=booking.told,
        usual=booking.chosen,
    )


def decided(
    seen: Picture, demands: Sequence[Demand], demand: Demand, booking: LiveBooking
) -> Answer:
    """Decide with the very kits that the booking has, and where that can't be with any."""
    fixed = dict.fromkeys((*demand.fixed, *booking.chosen))
    if len(fixed) == demand.count:
        as_it_was = replace(demand, fixed=tuple(fixed))
        answer = decide(seen.fleet, demands, as_it_was, thorough=False)
        if isinstance(answer, Possible) and not answer.changes:
            return answer
    return decide(seen.fleet, demands, demand, thorough=len(demands) <= FEW)


def _what_would_do(
    seen: Picture, demands: Sequence[Demand], demand: Demand, answer: Answer
) -> tuple[int, LeftFor]:
    if not isinstance(answer, Impossible):
        return 0, "undecided"
    if answer.limit is Limit.NAMED:
        any_kits = decide(seen.fleet, demands, replace(demand, fixed=()), thorough=False)
        if isinstance(any_kits, Possible):
            return demand.count, "named"
        return (any_kits.possible, "kits") if isinstance(any_kits, Impossible) else (0, "kits")
    why = _LIMITS[answer.limit]
    return (0 if why == "resource" else answer.possible), why


def settle(tx: Tx, who: Who, seen: Picture, mine: Sequence[LiveBooking], outcome: Outcome) -> None:
    there: dict[BookingId, LiveBooking] = {each.id: each for each in seen.bookings}
    for booking in mine:
        if window := outcome.moved.get(booking.id):
            sessions.take_along(tx, who.club, booking.id, window, booking.count)
            there[booking.id] = replace(booking, window=window)
    assign(tx, who, replace(seen, bookings=tuple(there.values())), outcome.kits)
