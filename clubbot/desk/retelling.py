"""What was told afterwards against what is known: the entries that it makes, and what it lacks.

Each kit's own history, with the entries to be added, is replayed before anything is shown: what
would contradict it becomes a question, and the rest stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from clubbot.desk.acting import Who
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.late import due_on_open_day
from clubbot.rules.ledger import Detail, Entry, EntryKind, Position, Use, fits, replay, standing
from clubbot.rules.model import BookingId, KitId, Seq, Window
from clubbot.rules.reading.afterwards import Happening, Told
from clubbot.rules.results import KitRef, TeamRef, ToldAsk, ToldLine
from clubbot.rules.results.afterwards import AskWhy
from clubbot.store import bookings, clubs, ledger
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

EARLY = timedelta(minutes=30)
_SHORT_LIVED = 2 * DAY
KINDS = {
    Happening.OUT: EntryKind.GIVEN_OUT,
    Happening.INSTEAD: EntryKind.GIVEN_OUT,
    Happening.PASSED: EntryKind.PASSED_ON,
    Happening.BACK: EntryKind.TAKEN_BACK,
    Happening.FLAT: EntryKind.RAN_FLAT,
    Happening.FOUND_FLAT: EntryKind.FOUND_FLAT,
    Happening.SHORT: EntryKind.SHORT,
}
_FIRST = (Happening.OUT, Happening.INSTEAD, Happening.PASSED, Happening.BACK)


@dataclass(frozen=True, slots=True)
class Step:
    """One entry to be: of a kit, at its own time; `cancels` is what it puts right."""

    what: Happening
    kit: KitId
    at: datetime
    said: str
    detail: Detail = field(default=Detail())
    instead: KitId | None = None
    cancels: tuple[Seq, ...] = ()
    cancelled_kit: KitId | None = None
    assumed: bool = False

    @property
    def draft(self) -> Draft:
        return Draft(KINDS[self.what], kit=self.kit, detail=self.detail)


@dataclass(slots=True)
class Evening:
    """One telling, worked out step by step against the club as it stands."""

    tx: Tx
    who: Who
    said_at: datetime
    told: tuple[Told, ...]
    known: dict[KitId, KitNow] = field(init=False)
    calendar: ClubCalendar = field(init=False)
    teams: dict[str, TeamRef] = field(init=False)
    day: date = field(init=False)
    near: list[LiveBooking] = field(init=False)
    steps: list[Step] = field(default_factory=list)
    asks: list[ToldAsk] = field(default_factory=list)
    _past: dict[KitId, list[Entry]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.known = dict(kits(self.tx, self.who.club))
        self.calendar = clubs.calendar(self.tx, self.who.club, self.who.zone)
        self.teams = {each.name: each for each in clubs.teams(self.tx, self.who.club).values()}
        today = self.calendar.day_of(self.said_at)
        self.day = next((each.day for each in self.told if each.day), today)
        self.near = self._bookings()

    def _bookings(self) -> list[LiveBooking]:
        """Return the day's uses: those that stand, and those that ended and were given out then."""
        start = self.calendar.instant(self.day, time.min)
        span = Window(start, self.calendar.instant(self.day + DAY, time.min))
        found = {b.id: b for b in bookings.between(self.tx, self.who.club, span)}
        ids = {
            entry.detail.booking
            for kit in self._named()
            for entry in self.past(kit)
            if entry.detail.booking is not None and span.start <= entry.happened_at < span.end
        }
        ids |= {n.position.booking for n in self.known.values() if n.position.booking is not None}
        found |= bookings.by_id(self.tx, self.who.club, ids - found.keys())
        return [each for each in found.values() if each.kind == "use"]

    def _named(self) -> Iterator[KitId]:
        labels = {label for each in self.told for label in (*each.kits, each.instead)}
        return (kit for kit, now in self.known.items() if now.kit.label in labels)

    # -- what is known ---------------------------------------------------------------------------

    def kit(self, label: str) -> KitNow:
        return next(now for now in self.known.values() if now.kit.label == label)

    def past(self, kit: KitId) -> list[Entry]:
        """Return what stands of a kit's history."""
        if kit not in self._past:
            entries = ledger.entries_about(self.tx, self.who.club, ("kit", kit))
            self._past[kit] = standing(entries)
        return self._past[kit]

    def history(self, kit: KitId, more: Iterable[Step] = ()) -> list[Entry]:
        """Return a kit's history with the steps so far, and with more of them, in its order."""
        steps = [step for step in (*self.steps, *more) if kit in (step.kit, step.cancelled_kit)]
        gone = {seq for step in steps for seq in step.cancels}
        first = 1 + max((entry.seq for entry in self.past(kit)), default=0)
        made = [
            self._entry(step, Seq(first + place))
            for place, step in enumerate(steps)
            if step.kit == kit and step.what in KINDS
        ]
        return [*(each for each in self.past(kit) if each.seq not in gone), *made]

    def _entry(self, step: Step, seq: Seq) -> Entry:
        kind, person = KINDS[step.what], self.who.person
        return Entry(seq, kind, step.at, self.said_at, person, step.kit, detail=step.detail)

    def stands(self, kit: KitId, at: datetime) -> Position:
        """Return where a kit stood at a moment, by the ledger and by what was told so far."""
        last = self.known[kit].position.last
        if (last is None or last[0] <= at) and not any(
            kit in (step.kit, step.cancelled_kit) for step in self.steps
        ):
            return self.known[kit].position
        before = [each for each in self.history(kit) if each.happened_at <= at]
        return replay(before).kits.get(kit, Position())

    def today(self, kit: KitId, kind: EntryKind) -> Entry | None:
        """Return the last entry of a kind that this kit has on the day that is told of."""
        found = [
            each
            for each in self.past(kit)
            if each.kind is kind and self.calendar.day_of(each.happened_at) == self.day
        ]
        return found[-1] if found else None

    def booking_of(self, kit: KitId, at: datetime, team: str = "") -> LiveBooking | None:
        """Return the booking that a kit is chosen for at a moment, or a team's."""
        wanted = self.teams[team].id if team else None
        found = [each for each in self.near if _runs(each, at)]
        chosen = [each for each in found if kit in each.chosen and wanted in (None, each.team)]
        return next(iter(chosen or [b for b in found if wanted and b.team == wanted]), None)

    def due(self, booking: LiveBooking | None, at: datetime) -> datetime:
        if booking is not None:
            return due_on_open_day(booking.window.end, self.calendar)
        session = self.calendar.session_with(Window(at, at + timedelta(minutes=1)))
        return session.window.end if session else at + timedelta(minutes=90)

    # -- what it comes to ------------------------------------------------------------------------

    def add(self, step: Step) -> None:
        """Take a step in, or ask about it where it contradicts what is known."""
        label = self.known[step.kit].kit.label
        if step.at > self.said_at:
            self.asks.append(ToldAsk("to come", step.said, label))
            return
        if step.what in KINDS and (why := self._contradicts(step)):
            self.asks.append(ToldAsk(why, step.said, label))
            return
        self.steps.append(step)

    def _contradicts(self, step: Step) -> AskWhy | None:
        before = replay(self.history(step.kit)).misfits
        new = self.history(step.kit, [step])
        if len(replay(new).misfits) <= len(before):
            return None
        at = self.stands(step.kit, step.at)
        if not at.out and at.use is not Use.IN_USE:
            return "not in use"
        out = step.what in (Happening.OUT, Happening.INSTEAD)
        return "out" if out or fits(at, self._entry(step, new[-1].seq)) else "not out"

    def lines(self) -> tuple[ToldLine, ...]:
        """Return the steps as people see them: one line for what happened to several alike."""
        found: dict[object, ToldLine] = {}
        by_id = {each.id: each for each in self.teams.values()}
        for step in self.steps:
            ref, detail = self.known[step.kit].ref, step.detail
            instead = self.known[step.instead].ref if step.instead else None
            team = by_id.get(detail.team) if detail.team else None
            alike = (step.what, step.at, step.said, team, instead, bool(step.cancels))
            line = found.get(alike) or ToldLine(
                what=str(step.what),
                kits=(),
                at=step.at,
                team=team,
                instead=instead,
                parts=detail.parts,
                said=step.said if step.what is Happening.FAULT else "",
                assumed=step.assumed,
                corrects=bool(step.cancels),
            )
            found[alike] = replace(line, kits=_with(line.kits, ref))
        return tuple(sorted(found.values(), key=lambda line: line.at))


def _with(refs: tuple[KitRef, ...], ref: KitRef) -> tuple[KitRef, ...]:
    return refs if ref in refs else (*refs, ref)


def _runs(booking: LiveBooking, at: datetime) -> bool:
    return booking.window.start - EARLY <= at and at < booking.window.end + EARLY


def is_of_the_day(booking: LiveBooking) -> bool:
    """Say whether a booking is one session's use, not a loan over days."""
    return booking.window.length < _SHORT_LIVED


def bookings_named(steps: Iterable[Step]) -> set[BookingId]:
    """Return the bookings that steps speak of."""
    return {step.detail.booking for step in steps if step.detail.booking is not None}
