"""What each kit's battery gives between the days on which the club charges."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time

from clubbot.desk.acting import Who
from clubbot.rules.availability import Battery
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.model import Kit, KitId, KitTypeId, Window
from clubbot.rules.settings import ClubSettings
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

SURE_SHARE = 0.85
"""What nine batteries in ten of a type give at least, of what it usually gives, while nothing is
known of them."""


def budgets(tx: Tx, who: Who, calendar: ClubCalendar, window: Window) -> dict[KitId, Battery]:
    """Return each kit's budget of driving minutes between the days on which the club charges.

    What a full charge gives is what is believed of the kit's battery, nine times in ten; where
    nothing was ever said of it, that is a share of the kit type's figure. What the last charge left
    out of a full one counts as used.
    """
    charges = _charge_moments(calendar, who.settings, who.now - 7 * DAY, window.end + 7 * DAY)
    last = max((moment for moment in charges if moment <= who.now), default=who.now - 7 * DAY)
    coming = tuple(moment for moment in charges if moment > who.now)
    used = ledger.minutes_out_since(tx, who.club, last, who.now)
    run = clubs.run_minutes(tx, who.club)
    found: dict[KitId, Battery] = {}
    for kit, now in kits(tx, who.club).items():
        gives, (minutes, percent) = _gives(now.kit, run), used.get(kit, ledger.OutSince())
        driven = minutes * who.settings.driving_percent + gives * (100 - percent)
        found[kit] = Battery(gives, round(driven / 100), coming)
    return found


def _gives(kit: Kit, run: Mapping[KitTypeId, int]) -> int:
    return round(run[kit.kit_type] * SURE_SHARE) if kit.gives is None else kit.gives


def _charge_moments(
    calendar: ClubCalendar, settings: ClubSettings, first: datetime, last: datetime
) -> list[datetime]:
    day, end = calendar.day_of(first), calendar.day_of(last)
    found: list[datetime] = []
    while day <= end:
        if day.weekday() in settings.charge_days and not calendar.closed(day):
            found.append(calendar.instant(day, time(22)))
        day += DAY
    return found
