"""What nobody said is off the chargers: the adults are asked once more when one is there again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from clubbot.desk import charge_plan, notices
from clubbot.desk.acting import Who
from clubbot.desk.chargers import on_chargers
from clubbot.desk.swept import Swept
from clubbot.rules.calendar import DAY, ClubCalendar, days
from clubbot.rules.energy.hours import attended
from clubbot.rules.reminding import Due, morning_list
from clubbot.rules.results import LotOver
from clubbot.rules.settings import ClubSettings
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.notices import NewNotice, NoticeRow

_FAR = 21 * DAY
"""How far ahead somebody who is there again is looked for."""


def due(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    """Yield the question that the adults are owed about what should have come off before."""
    over = {each.until for each in on_chargers(tx, club.row.id).values() if each.until < club.now}
    for until in over:
        moment = _there_again(until, club.calendar, club.row.settings)
        if club.fresh(moment):
            for person in club.adults:
                yield club.notice(notices.LOT_LEFT, "chargers", moment, person)


def _there_again(until: datetime, calendar: ClubCalendar, settings: ClubSettings) -> Due:
    """Return when an adult next comes: the next hours with one, a session's morning before them."""
    at = [span.start for span in attended(calendar, until, until + _FAR) if span.start > until]
    first = calendar.day_of(until)
    mornings = (morning_list(day, calendar, settings) for day in days(first, first + _FAR))
    at += [each.at for each in mornings if each is not None and each.at > until]
    moment = min(at, default=calendar.instant(calendar.next_open_day(first), settings.morning_at))
    return Due(moment, moment + DAY, moment.isoformat())


def told(tx: Tx, who: Who, row: NoticeRow) -> LotOver | None:
    """Return what should be off by now and isn't by the books."""
    on = [each for each in on_chargers(tx, who.club).values() if each.until <= row.due_at]
    return LotOver(charge_plan.on_now(kits(tx, who.club), on), (), again=True) if on else None
