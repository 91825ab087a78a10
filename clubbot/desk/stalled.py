"""What waits too long: faults in which nothing moves, and letters without an answer.

It comes with the week's charge list, so that the leaders get one message a week and no more; a day
that the supplier promised and that has passed is told on the next session's morning.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from clubbot.desk import notices, supplier
from clubbot.desk.acting import Who
from clubbot.desk.swept import Swept
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.model import ClubId
from clubbot.rules.reminding import Due, charge_list, morning_list
from clubbot.rules.results import ClaimLine, FaultsStalled, StalledFault
from clubbot.rules.settings import ClubSettings
from clubbot.store import claims, evidence, faults
from clubbot.store import notices as rows
from clubbot.store.engine import Tx
from clubbot.store.notices import NewNotice, NoticeRow

STILL = timedelta(days=7)
"""After so long without a step a fault waits for somebody; an estimate, no source."""
WATCHED_STILL = timedelta(days=28)
"""The same for one that may be used and is watched: nothing is meant to happen soon."""
UNANSWERED = timedelta(days=14)
"""After so long a supplier without a promised day is asked again; an estimate, no source."""
_FORWARD = 21
"""How many days ahead the next session's morning is looked for."""


def due(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    """Yield what the leaders are owed about faults and letters that wait."""
    today = club.calendar.day_of(club.now)
    for week_of in (today - 7 * DAY, today):
        weekly = charge_list(week_of, club.calendar, club.row.settings)
        if club.fresh(weekly) and _anything(club, tx):
            yield from _to(club, notices.FAULTS_STALLED, "week", weekly)
    for row in claims.standing(tx, club.row.id):
        if row.promised_on is not None and row.promised_on < today:
            passed = _morning(row.promised_on, club.calendar, club.row.settings)
            if club.fresh(passed):
                yield from _to(club, notices.CLAIM_PASSED, f"fault {row.fault}", passed)


def _to(club: Swept, kind: str, subject: str, moment: Due) -> Iterator[NewNotice]:
    for person in club.leaders:
        yield club.notice(kind, subject, moment, person)


def _morning(promised: date, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when a promised day has passed: in the morning of the next session after it."""
    days = (promised + ahead * DAY for ahead in range(1, _FORWARD))
    mornings = (morning_list(day, calendar, settings) for day in days)
    found = next((each for each in mornings if each is not None), None)
    at = found.at if found else calendar.instant(promised + DAY, settings.morning_at)
    return Due(at, at + 7 * DAY, promised.isoformat())


def _anything(club: Swept, tx: Tx) -> bool:
    """Say whether there may be something to tell; what it is, is read when it is sent."""
    return bool(claims.standing(tx, club.row.id) or _still(tx, club.row.id, club.now))


def _still(tx: Tx, club: ClubId, now: datetime) -> list[StalledFault]:
    lines = [each for each in faults.still_open(tx, club) if not each.at_supplier]
    moved = evidence.moved_at(tx, club, [(each.id, each.reported_at) for each in lines])
    return [
        StalledFault(line, (now - moved[line.id]).days)
        for line in lines
        if now - moved[line.id] >= (WATCHED_STILL if line.watched else STILL)
    ]


def owed(tx: Tx, who: Who, row: NoticeRow) -> FaultsStalled | None:
    """Return what waits now; nothing where it has moved meanwhile."""
    out = supplier.standing(tx, who)
    today = who.now.astimezone(who.zone).date()
    late = [
        each
        for each in out
        if (each.promised_on is not None and each.promised_on < today)
        or (each.promised_on is None and who.now - each.sent_at >= UNANSWERED)
    ]
    late = [each for each in late if not _told_today(tx, who, each)]
    found = FaultsStalled(tuple(_still(tx, who.club, who.now)), tuple(late))
    return found if found.faults or found.claims else None


def _told_today(tx: Tx, who: Who, claim: ClaimLine) -> bool:
    """Say whether this person was told this very day that a claim's promised day has passed."""
    told = rows.about(tx, who.club, (notices.CLAIM_PASSED,), f"fault {claim.fault}")
    today = who.now.astimezone(who.zone).date()
    mine = [row.sent_at for row in told if row.person == who.person]
    return any(at is not None and at.astimezone(who.zone).date() == today for at in mine)


def passed(tx: Tx, who: Who, row: NoticeRow) -> FaultsStalled | None:
    """Return the letter whose promised day has passed, unless it was answered or put off."""
    number = int(row.subject.rpartition(" ")[2])
    today = who.now.astimezone(who.zone).date()
    late = [
        each
        for each in supplier.standing(tx, who)
        if each.fault == number and each.promised_on is not None and each.promised_on < today
    ]
    return FaultsStalled((), tuple(late)) if late else None
