"""What somebody typed, read as a request for kits: as far as it goes, and what it lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from clubbot.desk.acting import Who
from clubbot.desk.finding import find_resources, find_team
from clubbot.rules.calendar import DAY, ClubCalendar, Session, days
from clubbot.rules.model import Reason, Refused, Role, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import (
    Either,
    MeetingTime,
    Missing,
    Reading,
    Unreadable,
    as_answer,
    read_booking,
)
from clubbot.rules.reading.by_name import names_meeting
from clubbot.rules.reading.numbered import with_kit_word
from clubbot.rules.results import (
    BookingLacks,
    BookingTwoWays,
    ReadAs,
    SessionRef,
    TeamRef,
)
from clubbot.store import clubs, people
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_ERRORS = {
    "unknown-kit": Reason.UNKNOWN_KIT,
    "zero": Reason.ZERO,
    "end-before-start": Reason.END_BEFORE_START,
    "too-long": Reason.TOO_LONG,
    "past": Reason.PAST,
}


def with_answer(
    tx: Tx, who: Who, facts: Mapping[str, Any], more: str, said: datetime
) -> str | None:
    """Return the request with an answer in it; None where what was said is no answer to it.

    A whole request, and an answer that names another day, take the place of the first.
    """
    earlier, ask = str(facts["text"]), facts.get("ask")
    if not more:
        return earlier
    alone = read(tx, who, more, said)
    if is_whole(alone):
        before = read(tx, who, earlier, said)
        kept = before.team if isinstance(before, Missing) and ask != "team" else None
        return f"{more} for {kept}" if kept and not getattr(alone, "team", None) else more
    if ask == "team":
        team, rest = find_team(more, clubs.teams(tx, who.club))
        alone = read(tx, who, rest, said)
        plain = isinstance(alone, Missing) and not _says_anything(alone)
        return f"{earlier} for {team.name}" if team and plain else None
    before = read(tx, who, earlier, said)
    named_day = isinstance(alone, Reading | Either) or (
        isinstance(alone, Missing) and alone.day is not None
    )
    if named_day and isinstance(before, Missing) and before.day is not None:
        what = " and ".join(f"kit {label}" for label in before.kits)
        if not what and before.count is not None:
            what = f"{before.count} kits"
        whose = f" for {before.team}" if before.team else ""
        return f"{what}{whose} {more}".strip()
    return f"{earlier}, {as_answer(ask, more) if ask else more}"


def is_whole(reading: Reading | Missing | Either | Unreadable) -> bool:
    """Say whether a text asks for kits of its own: how many or which, and on which day."""
    if isinstance(reading, Missing):
        return bool((reading.count or reading.kits) and reading.day)
    return isinstance(reading, Reading | Either)


def _says_anything(reading: Missing) -> bool:
    """Say whether a text has a day, a time or kits in it."""
    times = (reading.day, reading.start, reading.end, reading.length)
    return bool(reading.count or reading.kits) or any(each is not None for each in times)


def read(
    tx: Tx, who: Who, text: str, said_at: datetime | None = None
) -> Reading | Missing | Either | Unreadable:
    """Read a request against the club's labels, meeting times and clock, things along left out."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    _, plain = find_resources(text, clubs.resources(tx, who.club))
    labels = [now.kit.label for now in kits(tx, who.club).values()]
    plain = with_kit_word(plain, labels)
    reading = read_booking(
        plain,
        (said_at or who.asking.said_at).astimezone(who.zone),
        labels,
        meetings=[
            MeetingTime(each.weekday, each.starts, each.ends, each.name)
            for each in calendar.meetings
        ],
        longest=timedelta(days=who.settings.longest_days),
    )
    if calendar.moves and isinstance(reading, Reading) and reading.repeat is None:
        return _where_it_is_held(calendar, plain, reading)
    return reading


def _where_it_is_held(calendar: ClubCalendar, text: str, reading: Reading) -> Reading:
    """Return a reading that names a session which was moved, at the time that it was moved to."""
    day, window = reading.start.date(), window_of(reading)
    for usual in calendar.usual(day):
        if usual.moved and usual.window == window and names_meeting(text, usual.name):
            held = calendar.sessions(usual.moved.to_day, usual.moved.to_day)
            for session in held:
                if session.moved == usual.moved:
                    start, end = (
                        at.astimezone(calendar.zone)
                        for at in (session.window.start, session.window.end)
                    )
                    return replace(reading, start=start, end=end)
    return reading


def window_of(reading: Reading) -> Window:
    """Return the window of a reading, in UTC."""
    return Window(reading.start.astimezone(UTC), reading.end.astimezone(UTC))


def not_read(reading: Unreadable) -> Refused:
    """Return the answer to a text that is no single request."""
    return Refused(_ERRORS[reading.error], {"word": reading.word})


def two_ways(reading: Either) -> BookingTwoWays:
    """Return the ways in which a text can be read."""
    return BookingTwoWays(
        tuple(ReadAs(window_of(each), each.count, each.kits) for each in reading.readings)
    )


def lacks(tx: Tx, who: Who, reading: Missing) -> BookingLacks:
    """Return the one question that a request leaves open, with likely answers."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    first = reading.day or today
    last = reading.day or today + 21 * DAY
    sessions = [s for s in calendar.sessions(first, last) if s.window.end > who.now]
    none_that_day = not sessions and reading.day is not None
    if none_that_day:
        sessions = calendar.sessions(first, first + 14 * DAY)
    coming = [SessionRef(each.day, each.name, each.window) for each in sessions]
    start = None
    if reading.day and reading.start:
        start = calendar.instant(reading.day, reading.start)
    return BookingLacks(
        ask=reading.ask[0],
        sessions=tuple(coming[:4]),
        most=len(kits(tx, who.club)),
        start=start,
        no_session_on=reading.day if none_that_day else None,
    )


def likely_session(tx: Tx, who: Who, reading: Missing | None) -> Session | None:
    """Return the session that is meant where no time was named: the running or the next one."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    first = (reading.day if reading else None) or calendar.day_of(who.now)
    for day in days(first, first + 28 * DAY):
        for session in calendar.sessions(day, day):
            if session.window.end > who.now:
                return session
    return None


def team_for(
    tx: Tx, who: Who, known: TeamId | None, named: str | None
) -> TeamRef | BookingLacks | Refused | None:
    """Say which team a booking is for: one named, one's own, or the one question left."""
    teams = clubs.teams(tx, who.club)
    own = people.teams_of(tx, who.club, who.person) & teams.keys()
    for_any = may(who.role, Deed.ACT_FOR_TEAM)
    mine = {number: ref for number, ref in teams.items() if for_any or number in own}
    if known is not None:
        return mine[known] if known in mine else Refused(Reason.UNKNOWN_TEAM)
    if named:
        wanted = named.casefold()
        for ref in mine.values():
            if ref.name.casefold() == wanted:
                return ref
    if not teams or (not mine and who.role is Role.STUDENT):
        return None
    if len(own) == 1 and not named:
        return teams[next(iter(own))]
    return BookingLacks("team", teams=tuple(mine.values()), unknown_team=named or "")
