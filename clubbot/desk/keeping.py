"""Kept built: a team builds on one kit for weeks; only the unit comes off to charge."""

from __future__ import annotations

import re
from datetime import date, datetime, time

from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import find_team, named
from clubbot.desk.fleet import picture
from clubbot.desk.promising import Wanted, promise
from clubbot.rules.availability import Undecided
from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.model import Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import KeptBuilt, SameKit
from clubbot.rules.setup import read_days
from clubbot.store import clubs
from clubbot.store.engine import Tx

TEARDOWN_AT = time(18)
"""When a keep ends on a day without a session."""
_UNTIL = re.compile(r"\b(?:until|till|to|up to)\b", re.IGNORECASE)


@deed(Deed.KEEP)
def keep(tx: Tx, who: Who, text: str) -> KeptBuilt | Refused:
    """Keep a kit built for a team until a day ("D for Red until 5 Dec"), if nobody else needs it.

    The team gets this kit at each of its sessions until then. On the last day it is taken apart
    and counted.
    """
    parts = _UNTIL.split(text)
    today = who.now.astimezone(who.zone).date()
    days = read_days(parts[-1], today, who.zone) if len(parts) > 1 else None
    if days is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "keep"})
    end = _end(clubs.calendar(tx, who.club, who.zone), days[0])
    if end <= who.now:
        return Refused(Reason.PAST)
    window = Window(who.now, end)
    seen = picture(tx, who, window)
    team, rest = find_team(" ".join(parts[:-1]), seen.teams)
    wanted = named(rest, seen.kits, {})
    if isinstance(wanted, Refused):
        return wanted
    if team is None or len(wanted.kits) != 1:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "keep"})
    kit = wanted.kits[0]
    booking = promise(tx, who, Wanted(window, 1, (kit.kit.label,), team), kind="keep")
    if isinstance(booking, Refused):
        return booking
    if isinstance(booking, Undecided):
        return Refused(Reason.UNDECIDED)
    return KeptBuilt(kit.ref, team, window.end, booking.number)


def _end(calendar: ClubCalendar, day: date) -> datetime:
    """Return when a keep ends on its last day: with the last session, or at six."""
    sessions = calendar.sessions(day, day)
    return sessions[-1].window.end if sessions else calendar.instant(day, TEARDOWN_AT)


@deed(Deed.KEEP)
def same_kit(tx: Tx, who: Who, text: str) -> SameKit | Refused:
    """Mark a team to keep the same kit from session to session, or not ("Red off")."""
    teams = clubs.teams(tx, who.club)
    team, rest = find_team(text, teams)
    if team is None:
        return Refused(Reason.UNKNOWN_TEAM, {"word": text.strip()})
    same = rest.strip().lower() not in ("off", "no", "stop")
    clubs.set_same_kit(tx, who.club, team.id, same)
    return SameKit(team, same)
