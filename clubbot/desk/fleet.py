"""What can be promised: the store's rows as the availability rules want them, and back.

A booking's choice of kits is kept from the moment it is made. It may move until people were told
their labels; named kits and kits that are out stay.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from clubbot.desk import notices
from clubbot.desk.acting import Who
from clubbot.desk.budgets import budgets
from clubbot.rules.availability import Demand, Fleet, FleetKit, ResourceId
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.late import blocked
from clubbot.rules.ledger import Position, Use
from clubbot.rules.model import BookingId, KitId, TeamId, Window
from clubbot.rules.results import BookingView, KitRef, Swap, TeamRef
from clubbot.rules.settings import ClubSettings
from clubbot.store import bookings, clubs
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits, label_order

_LOAN = timedelta(hours=12)
"""A use of this length is a loan, at somebody's home or in a classroom with a socket."""
NEW = BookingId(0)
"""Stands for the booking that is being asked for."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A club's kits and teams as they stand, and the bookings around one window."""

    kits: Mapping[KitId, KitNow]
    teams: Mapping[TeamId, TeamRef]
    calendar: ClubCalendar
    settings: ClubSettings
    fleet: Fleet
    bookings: tuple[LiveBooking, ...]
    same_kit: frozenset[TeamId] = frozenset()
    resources: Mapping[ResourceId, str] = field(default_factory=dict)

    @property
    def demands(self) -> tuple[Demand, ...]:
        """What stands promised: of a booking that is short of kits only those that it has."""
        return tuple(self.demand(each, len(each.chosen)) for each in self.bookings if each.chosen)

    @property
    def whole_demands(self) -> tuple[Demand, ...]:
        """What the bookings want, for planning them anew.

        Told labels may change, if they must, and so may kits asked for by name that can't be had.
        """
        return tuple(self._movable(booking) for booking in self.bookings)

    def _movable(self, booking: LiveBooking) -> Demand:
        known = self.demand(booking)
        if booking.kind == "keep":
            return known
        out = self.out_for(booking)
        asked_for = {*booking.named, *self.kept_for(booking.team, booking.window)}
        missing = {
            kit.id
            for kit in self.fleet.kits
            if any(span.overlaps(known.window) for span in kit.blocked)
        }
        fixed = (kit for kit in known.fixed if kit in out or kit in asked_for - missing)
        return replace(known, fixed=tuple(fixed))

    def demand(self, booking: LiveBooking, wanted: int | None = None) -> Demand:
        """Return a booking, or its want of so many kits, as availability sees it.

        A team that has a kit kept built gets that one at its sessions. What it has in hand early
        is its own from then on.
        """
        count = booking.count if wanted is None else wanted
        out = self.out_for(booking)
        since = [at for kit in out if (at := self.kits[kit].position.out_since)]
        start = min(booking.window.start, *since) if since else booking.window.start
        kept = () if booking.kind == "keep" else self.kept_for(booking.team, booking.window)
        fixed = dict.fromkeys((*booking.named, *booking.told, *out, *kept))
        same = booking.team in self.same_kit
        return Demand(
            booking=booking.id,
            window=Window(start, booking.window.end),
            kit_type=booking.kit_type,
            count=count,
            group=booking.team,
            fixed=tuple(fixed)[:count],
            told=booking.chosen if same else booking.told,
            usual=booking.chosen,
            driving_minutes=self.driving(booking.window),
            resources={ResourceId(which): number for which, number in booking.resources},
            keep=booking.kind == "keep",
            firm=len(out) == count,
        )

    def kept_for(self, team: TeamId | None, window: Window) -> tuple[KitId, ...]:
        """Return the kits that are kept built for a team in a window."""
        return tuple(
            kit
            for booking in self.bookings
            if booking.kind == "keep" and team is not None and booking.team == team
            if booking.window.overlaps(window)
            for kit in booking.chosen
        )

    def driving(self, window: Window) -> int:
        """Return the minutes of driving that a use of this length takes: a third, by practice.

        Only the hours of one session count: a kit at home overnight isn't driven all the time.
        """
        if not self.settings.charge_days:
            return 0
        minutes = min(window.length, timedelta(hours=3)).total_seconds() / 60
        return round(minutes * self.settings.driving_percent / 100)

    def out_for(self, booking: LiveBooking) -> tuple[KitId, ...]:
        """Return the kits that are out for a booking."""
        return tuple(kit for kit, now in self.kits.items() if now.position.booking == booking.id)

    def without(self, gone: Collection[KitId]) -> Picture:
        """Return the picture as it would be with these kits back from those who have them."""
        givers = {self.kits[kit].position.booking for kit in gone}
        kits = {
            kit: KitNow(now.kit, Position()) if kit in gone else now
            for kit, now in self.kits.items()
        }
        fleet = tuple(
            replace(kit, blocked=()) if kit.id in gone else kit for kit in self.fleet.kits
        )
        bookings = (
            _without(booking, gone) if booking.id in givers else booking
            for booking in self.bookings
        )
        return replace(
            self,
            kits=kits,
            fleet=replace(self.fleet, kits=fleet),
            bookings=tuple(booking for booking in bookings if booking.count),
        )

    def shown(self, booking: LiveBooking) -> BookingView:
        """Return a booking as people see it."""
        return BookingView(
            id=booking.id,
            number=booking.number,
            team=self.teams.get(booking.team) if booking.team else None,
            window=booking.window,
            count=booking.count,
            kits=self.refs(booking.chosen),
            booked_by=booking.booked_by,
            named=bool(booking.named),
            out=tuple(self.kits[kit].ref for kit in self.out_for(booking)),
            keep=booking.kind == "keep",
            repeats=booking.series is not None,
        )

    def refs(self, kits: Iterable[KitId]) -> tuple[KitRef, ...]:
        """Return kits as people see them, in the order of their labels."""
        known = (self.kits[kit].ref for kit in kits if kit in self.kits)
        return tuple(sorted(known, key=lambda ref: label_order(ref.label)))


def _without(booking: LiveBooking, gone: Collection[KitId]) -> LiveBooking:
    lost = [kit for kit in booking.told if kit in gone]
    return replace(
        booking,
        count=booking.count - len(lost),
        chosen=tuple(kit for kit in booking.chosen if kit not in lost),
        named=tuple(kit for kit in booking.named if kit not in lost),
        told=tuple(kit for kit in booking.told if kit not in lost),
    )


def picture(tx: Tx, who: Who, window: Window) -> Picture:
    """Load the kits, and the bookings that touch a window or touch one that does."""
    known = kits(tx, who.club)
    calendar = clubs.calendar(tx, who.club, who.zone)
    gap = timedelta(minutes=who.settings.gap_minutes)
    grace = timedelta(minutes=who.settings.grace_minutes)
    resources = clubs.resources(tx, who.club)
    found = tuple(_connected(tx, who, window, gap))
    found += tuple(_in_hand(tx, who, known, found))
    batteries = budgets(tx, who, calendar, window) if who.settings.charge_days else {}
    fleet = Fleet(
        kits=tuple(
            FleetKit(
                id=kit,
                kit_type=now.kit.kit_type,
                blocked=blocked(now.position, who.now, calendar, grace)
                + _too_long(now, window, found),
                battery=batteries.get(kit),
            )
            for kit, now in known.items()
        ),
        resources={each: number for each, (_, number) in resources.items()},
        gap=gap,
    )
    return Picture(
        kits=known,
        teams=clubs.teams(tx, who.club),
        calendar=calendar,
        settings=who.settings,
        fleet=fleet,
        bookings=found,
        same_kit=clubs.teams_with_same_kit(tx, who.club),
        resources={each: name for each, (name, _) in resources.items()},
    )


def _too_long(now: KitNow, asked: Window, found: Iterable[LiveBooking]) -> tuple[Window, ...]:
    """Return the windows that a kit for short uses only can't be had in: they are longer.

    A longer loan is left out, for there it can be charged in between. Where a short use is asked
    for, what runs at that time doesn't stand in its way.
    """
    most = now.position.short_minutes
    if most is None:
        return ()
    longest = timedelta(minutes=most)
    fits = asked.length <= longest
    windows = [asked, *(booking.window for booking in found)]
    return tuple(
        sorted(
            {
                window
                for window in windows
                if longest < window.length < _LOAN and not (fits and window.overlaps(asked))
            }
        )
    )


def _connected(tx: Tx, who: Who, window: Window, gap: timedelta) -> list[LiveBooking]:
    """Return the bookings linked to a window in time: one may move only if its neighbours can.

    Where batteries count, uses between two charges are linked as well.
    """
    reach = DAY * 7 if who.settings.charge_days else gap
    while True:
        found = bookings.between(tx, who.club, window, reach)
        spans = [window, *(booking.window for booking in found)]
        wider = Window(min(span.start for span in spans), max(span.end for span in spans))
        if wider == window or who.settings.charge_days:
            return found
        window = wider


def _in_hand(
    tx: Tx, who: Who, known: Mapping[KitId, KitNow], found: Collection[LiveBooking]
) -> list[LiveBooking]:
    """Return the bookings whose kits are out before they begin, which none of these names."""
    out = {now.position.booking for now in known.values() if now.position.booking is not None}
    more = bookings.by_id(tx, who.club, out - {booking.id for booking in found})
    return [booking for booking in more.values() if booking.window.start > who.now]


def assign(
    tx: Tx,
    who: Who,
    seen: Picture,
    assignment: Mapping[BookingId, Sequence[KitId]],
) -> tuple[Swap, ...]:
    """Write the kits now chosen for these bookings; tell of the told labels that change."""
    swaps: list[Swap] = []
    for booking in seen.bookings:
        now = tuple(assignment.get(booking.id, booking.chosen))
        if set(now) == set(booking.chosen):
            continue
        gone = [kit for kit in booking.chosen if kit not in now]
        new = [kit for kit in now if kit not in booking.chosen]
        bookings.drop(tx, who.club, booking.id, gone)
        bookings.choose(tx, who.club, booking.id, new, frozenset(), None)
        swaps += [
            Swap(
                team=seen.teams.get(booking.team) if booking.team else None,
                number=booking.number,
                before=seen.kits[old].kit.label,
                after=seen.kits[fresh].kit.label,
                why=_why_not(seen.kits[old]),
            )
            for old, fresh in zip(gone, new, strict=False)
            if old in booking.told
        ]
    if swaps:
        shown = [seen.shown(booking) for booking in seen.bookings]
        notices.tell_of_swaps(tx, who, shown, swaps)
    return tuple(swaps)


def _why_not(now: KitNow) -> str:
    """Say why a kit that was promised can't be had, in words that fit after "since it is"."""
    if now.position.use is not Use.IN_USE:
        return str(now.position.use)
    return "not back yet" if now.position.out else "needed elsewhere"
