"""The one place where kits are promised: decided exactly, written with the choice that was found.

Nothing is refused without what would be a yes: the same day at another time, fewer kits, the next
session, or a place on the waiting list.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from clubbot.desk.acting import Who
from clubbot.desk.fleet import NEW, Picture, assign, picture
from clubbot.rules.availability import (
    Demand,
    Impossible,
    Limit,
    OfferKind,
    ResourceId,
    Undecided,
    alternatives,
    decide,
)
from clubbot.rules.calendar import DAY
from clubbot.rules.model import (
    Instead,
    KitId,
    KitTypeId,
    PersonId,
    Reason,
    Refused,
    Window,
)
from clubbot.rules.results import BookingView, TeamRef
from clubbot.store import bookings
from clubbot.store.engine import Tx

FEW = 60
"""Up to how many bookings around a request the best choice of kits is searched for, too: the yes
or no is exact in any case, and other writers wait meanwhile."""
OTHER_TIMES = (-120, -90, -60, -30, 30, 60, 90, 120, 180)
"""By how many minutes a request is moved to look for another time that day."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What somebody wants: so many kits, these by label among them, things along with them."""

    window: Window
    count: int
    labels: tuple[str, ...] = ()
    team: TeamRef | None = None
    resources: Mapping[ResourceId, int] = field(default_factory=dict)
    by: PersonId | None = None

    @property
    def instead(self) -> Instead:
        return Instead(self.window, self.count, self.labels, self.team.id if self.team else None)


def promise(
    tx: Tx, who: Who, wanted: Wanted, *, kind: str = "use", until: datetime | None = None
) -> BookingView | Refused | Undecided:
    """Book what is wanted if some assignment of kits makes room for it, and return the booking.

    `kind` "offer" holds the place until a moment. Raises nothing; a no changes nothing.
    """
    seen = picture(tx, who, wanted.window)
    if refused := _against_the_rules(who, seen, wanted):
        return refused
    demand = _demand(tx, who, seen, wanted)
    few = len(seen.bookings) <= FEW
    answer = decide(seen.fleet, seen.demands, demand, thorough=few)
    if isinstance(answer, Undecided):
        return answer
    if isinstance(answer, Impossible):
        return _no(tx, who, wanted, answer)
    made = _made(tx, who, seen, wanted, demand, answer.assignment[NEW], kind, until)
    assign(tx, who, seen, answer.assignment)
    return made


def _made(
    tx: Tx,
    who: Who,
    seen: Picture,
    wanted: Wanted,
    demand: Demand,
    chosen: Sequence[KitId],
    kind: str,
    until: datetime | None,
) -> BookingView:
    """Write the booking with the kits chosen for it."""
    by = wanted.by or who.person
    added = bookings.add(
        tx,
        who.club,
        team=demand.group,
        kit_type=demand.kit_type,
        count=demand.count,
        window=demand.window,
        booked_by=by,
        now=who.now,
        kind=kind,
        offered_until=until,
    )
    named = frozenset(kit for kit, now in seen.kits.items() if now.kit.label in wanted.labels)
    told_at = who.now if named else None
    bookings.choose(tx, who.club, added.id, chosen, named, told_at)
    bookings.book_along(tx, who.club, added.id, wanted.resources)
    return BookingView(
        id=added.id,
        number=added.number,
        team=wanted.team,
        window=wanted.window,
        count=demand.count,
        kits=seen.refs(chosen),
        booked_by=by,
        named=bool(named),
        keep=kind == "keep",
    )


def _demand(tx: Tx, who: Who, seen: Picture, wanted: Wanted) -> Demand:
    team = wanted.team.id if wanted.team else None
    named = [kit for kit, now in seen.kits.items() if now.kit.label in wanted.labels]
    fixed = dict.fromkeys((*named, *seen.kept_for(team, wanted.window)))
    usual = bookings.last_kits(tx, who.club, team, wanted.window.start) if team else ()
    return Demand(
        booking=NEW,
        window=wanted.window,
        kit_type=kit_type(seen, named),
        count=wanted.count,
        group=team,
        fixed=tuple(fixed)[: wanted.count],
        told=usual if team in seen.same_kit else (),
        usual=usual,
        driving_minutes=seen.driving(wanted.window),
        resources=wanted.resources,
    )


def kit_type(seen: Picture, named: list[KitId]) -> KitTypeId:
    """Return the type of the named kits, or the one that most kits are of: what "a kit" means."""
    types = Counter(seen.kits[kit].kit.kit_type for kit in named or seen.kits)
    return max(types, key=lambda each: (types[each], -each))


def _against_the_rules(who: Who, seen: Picture, wanted: Wanted) -> Refused | None:
    """Return the club's own rule that a request breaks; adults may go beyond all but the first."""
    window, count, settings = wanted.window, wanted.count, who.settings
    if not seen.kits or count > len(seen.kits):
        return Refused(Reason.NONE_FREE, {"possible": len(seen.kits), "of": len(seen.kits)})
    if window.end <= who.now:
        return Refused(Reason.PAST)
    closure = seen.calendar.closed(seen.calendar.day_of(window.start))
    if closure:
        facts = {"why": closure.why, "day": seen.calendar.day_of(window.start)}
        return Refused(Reason.CLOSED, facts, _next_sessions(seen, wanted))
    if who.role.adult:
        return None
    if window.start > who.now + timedelta(days=settings.ahead_days):
        return Refused(Reason.TOO_FAR, {"days": settings.ahead_days})
    if not seen.calendar.supervised(window):
        return Refused(Reason.OUTSIDE_HOURS, {}, _next_sessions(seen, wanted))
    if settings.team_limit is not None and count > settings.team_limit:
        return Refused(Reason.OVER_LIMIT, {"limit": settings.team_limit})
    return None


def _next_sessions(seen: Picture, wanted: Wanted) -> tuple[Instead, ...]:
    day = seen.calendar.day_of(wanted.window.start)
    later = seen.calendar.sessions(day, day + 14 * DAY)
    return tuple(replace(wanted.instead, window=session.window) for session in later[:2])


def _no(tx: Tx, who: Who, wanted: Wanted, answer: Impossible) -> Refused:
    """Return the refusal with the nearest requests that would be a yes."""
    wide = Window(wanted.window.start - DAY, wanted.window.end + 15 * DAY)
    seen = picture(tx, who, wide)
    demand = _demand(tx, who, seen, wanted)
    same_day = tuple(_same_day(who, seen, wanted.window))
    sessions = tuple(_later_sessions(who, seen, wanted.window))
    found = alternatives(seen.fleet, seen.demands, demand, same_day, sessions)
    instead = tuple(
        Instead(
            window=offer.request.window,
            count=offer.request.count,
            labels=()
            if offer.kind is OfferKind.OTHER_KITS
            else tuple(seen.kits[kit].kit.label for kit in offer.request.fixed if wanted.labels),
            team=offer.request.group,
        )
        for offer in found
    )
    facts: dict[str, object] = {"window": wanted.window, "count": wanted.count}
    if answer.limit is Limit.NAMED:
        facts["labels"] = tuple(seen.kits[kit].kit.label for kit in answer.kits)
        return Refused(Reason.KIT_TAKEN, facts, instead, wanted.instead)
    facts["possible"] = answer.possible
    if answer.limit is Limit.RESOURCE and answer.resource is not None:
        facts["resource"] = seen.resources[answer.resource]
        return Refused(Reason.RESOURCE_TAKEN, facts, instead, wanted.instead)
    reason = Reason.BATTERY if answer.limit is Limit.BATTERY else Reason.NONE_FREE
    return Refused(reason, facts, instead, wanted.instead)


def _same_day(who: Who, seen: Picture, window: Window) -> Iterator[Window]:
    """Yield other times that day, while an adult is there."""
    if window.length >= DAY:
        return
    for minutes in OTHER_TIMES:
        by = timedelta(minutes=minutes)
        moved = Window(window.start + by, window.end + by)
        if moved.start > who.now and _in_hours(seen, moved):
            yield moved


def _later_sessions(who: Who, seen: Picture, window: Window) -> Iterator[Window]:
    day = seen.calendar.day_of(window.start)
    for session in seen.calendar.sessions(day, day + 14 * DAY):
        if session.window.start > max(window.start, who.now):
            yield session.window


def _in_hours(seen: Picture, window: Window) -> bool:
    """Say whether an adult is there all the time; without such hours set, during a session."""
    if seen.calendar.hours:
        return seen.calendar.supervised(window)
    session = seen.calendar.session_with(window)
    return session is not None and (
        session.window.start <= window.start and window.end <= session.window.end
    )
