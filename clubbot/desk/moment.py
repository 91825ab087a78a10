"""How things stand just now for the one who asks for help."""

from __future__ import annotations

from datetime import timedelta

from clubbot.desk import questions
from clubbot.desk.acting import Who, look
from clubbot.desk.club_view import club_view
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import HelpNow
from clubbot.store import clubs, faults, kits, people
from clubbot.store.engine import Tx

_AROUND = timedelta(hours=1)


@look(Deed.SEE_FREE)
def now(tx: Tx, who: Who) -> HelpNow:
    """Return what help begins with: what is open, what is on, what this person has."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    on = any(
        each.window.start - _AROUND <= who.now <= each.window.end + _AROUND
        for each in calendar.sessions(today, today)
    )
    out = [now for now in kits.kits(tx, who.club).values() if now.position.out]
    if not who.role.staff:
        own = people.teams_of(tx, who.club, who.person)
        out = [each for each in out if each.position.team in own]
    missing, knocks, open_faults = "", 0, 0
    if may(who.role, Deed.SET_UP):
        missing = questions.first_gap(club_view(tx, who)) or ""
    if may(who.role, Deed.LET_IN):
        knocks = len(people.knocks(tx, who.club))
    if may(who.role, Deed.SEE_FAULTS):
        open_faults = len(faults.still_open(tx, who.club))
    labels = tuple(each.kit.label for each in out)
    return HelpNow(missing, on, labels, knocks, open_faults)
