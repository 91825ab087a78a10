"""The club's calendar: sessions, closures, supervised hours, and wall time against instants.

All days and times of day are the club's own; all instants are UTC. A wall time that a clock change
skips or repeats is read as RFC 5545, section 3.3.5, says: the first of two, and the offset before
the gap.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from clubbot.rules.model import PersonId, Window

DAY = timedelta(days=1)
_FAR = 400
"""No closure is longer than this many days: a search for an open day ends there."""


@dataclass(frozen=True, slots=True)
class Meeting:
    """A weekly meeting time and the adult who runs it; weekday 0 is Monday."""

    id: int
    name: str
    weekday: int
    starts: time
    ends: time
    adult: PersonId | None = None


@dataclass(frozen=True, slots=True)
class Hours:
    """A weekly span in which an adult is in the room."""

    weekday: int
    starts: time
    ends: time


@dataclass(frozen=True, slots=True)
class Closure:
    """Days without meetings, both ends included."""

    first_day: date
    last_day: date
    why: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """One session held at another time: the one of `day` at `at` by the weekly meeting times."""

    day: date
    at: time
    to_day: date
    starts: time
    ends: time


@dataclass(frozen=True, slots=True)
class Session:
    """One planned meeting of the club; `moved` where it is held at another time than usual."""

    day: date
    window: Window
    name: str
    adult: PersonId | None
    moved: Move | None = None


@dataclass(frozen=True, slots=True)
class ClubCalendar:
    zone: ZoneInfo
    meetings: tuple[Meeting, ...] = ()
    closures: tuple[Closure, ...] = ()
    hours: tuple[Hours, ...] = ()
    moves: tuple[Move, ...] = ()

    def day_of(self, instant: datetime) -> date:
        return instant.astimezone(self.zone).date()

    def instant(self, day: date, at: time) -> datetime:
        """Return the UTC instant at which the club's clocks show this."""
        return datetime.combine(day, at, self.zone).astimezone(UTC)

    def closed(self, day: date) -> Closure | None:
        """Return the closure that this day falls in, if any."""
        return next((c for c in self.closures if c.first_day <= day <= c.last_day), None)

    def sessions(self, first_day: date, last_day: date) -> list[Session]:
        """Return the planned meetings from first to last day, both included, in order of time."""
        found: list[Session] = []
        for day in days(first_day, last_day):
            if not self.closed(day):
                found += [each for each in self.usual(day) if each.moved is None]
        for move in self.moves:
            if first_day <= move.to_day <= last_day and not self.closed(move.to_day):
                found += [
                    Session(move.to_day, self._window(move), each.name, each.adult, move)
                    for each in self.usual(move.day)
                    if each.moved == move
                ]
        return sorted(found, key=lambda session: session.window)

    def usual(self, day: date) -> list[Session]:
        """Return a day's sessions by the weekly meeting times, whatever closes or moves them."""
        moved = {(move.day, move.at): move for move in self.moves}
        return [
            Session(
                day,
                Window(self.instant(day, meeting.starts), self.instant(day, meeting.ends)),
                meeting.name,
                meeting.adult,
                moved.get((day, meeting.starts)),
            )
            for meeting in self.meetings
            if meeting.weekday == day.weekday()
        ]

    def _window(self, move: Move) -> Window:
        return Window(self.instant(move.to_day, move.starts), self.instant(move.to_day, move.ends))

    def session_with(self, window: Window) -> Session | None:
        """Return the meeting that overlaps this window most, if any does."""
        near = self.sessions(self.day_of(window.start) - DAY, self.day_of(window.end))
        shared = [
            (min(s.window.end, window.end) - max(s.window.start, window.start), s)
            for s in near
            if s.window.overlaps(window)
        ]
        return max(shared, key=lambda pair: pair[0])[1] if shared else None

    def open_day(self, day: date) -> bool:
        """Say whether the club's school is open: a weekday, or a session's day, unless closed."""
        if self.closed(day):
            return False
        return day.weekday() < 5 or bool(self.sessions(day, day))

    def next_open_day(self, after: date) -> date:
        """Return the first open day after this one (the very next day where all are closed)."""
        for offset in range(1, _FAR):
            if self.open_day(after + offset * DAY):
                return after + offset * DAY
        return after + DAY

    def supervised(self, window: Window) -> bool:
        """Say whether both ends fall when an adult is in the room.

        A loan over several days is given out and taken back in supervised hours; what lies
        between them is the borrower's. Where no such hours are set it is enough that both ends
        fall on open days, but nobody is there when a session has gone elsewhere.
        """
        if self.hours:
            return self.attended(window.start) and self.attended(window.end)
        if any(self._left(window, each) for each in self.usual(self.day_of(window.start))):
            return False
        return self.open_day(self.day_of(window.start)) and self.open_day(self.day_of(window.end))

    def _left(self, window: Window, usual: Session) -> bool:
        """Say whether a window is the time of a session that is held elsewhere this once."""
        inside = usual.window.start <= window.start and window.end <= usual.window.end
        return usual.moved is not None and inside and self.session_with(window) is None

    def attended(self, instant: datetime) -> bool:
        """Say whether an adult is noted as in the room: in supervised hours or at a session."""
        local = instant.astimezone(self.zone)
        if self.closed(local.date()):
            return False
        return any(
            span.weekday == local.weekday() and span.starts <= local.time() <= span.ends
            for span in self.hours
        ) or any(
            session.window.start <= instant <= session.window.end
            for session in self.sessions(local.date(), local.date())
        )


def days(first_day: date, last_day: date) -> Iterator[date]:
    """Yield the days from first to last, both included."""
    for offset in range((last_day - first_day).days + 1):
        yield first_day + offset * DAY


def after_quiet(instant: datetime, zone: ZoneInfo, quiet_from: time, quiet_to: time) -> datetime:
    """Return the instant, or the end of the quiet hours that it falls in (they may span midnight).

    The same time twice means that there are no quiet hours.
    """
    local = instant.astimezone(zone)
    now = local.time()
    over_midnight = quiet_from > quiet_to
    quiet = (now >= quiet_from or now < quiet_to) if over_midnight else quiet_from <= now < quiet_to
    if not quiet:
        return instant
    day = local.date() + DAY if over_midnight and now >= quiet_from else local.date()
    return datetime.combine(day, quiet_to, zone).astimezone(UTC)
