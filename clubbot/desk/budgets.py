"""What each kit's battery gives between the days on which the club charges."""

from __future__ import annotations

from datetime import datetime, time

from clubbot.desk.acting import Who
from clubbot.rules.availability import Battery
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.model import KitId, Window
from clubbot.rules.settings import ClubSettings
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

SURE_SHARE = 0.875


def budgets(tx: Tx, who: Who, calendar: ClubCalendar, window: Window) -> dict[KitId, Battery]:
    """Return each kit's budget of driving minutes between the days on which the club charges.

    What a full charge gives is the kit type's figure less the part that nine batteries in ten
    reach (common practice, no source: about an eighth less than the usual two hours).
    """
    charges = _charge_moments(calendar, who.settings, who.now - 7 * DAY, window.end + 7 * DAY)
    last = max((moment for moment in charges if moment <= who.now), default=who.now - 7 * DAY)
    coming = tuple(moment for moment in charges if moment > who.now)
    used = ledger.minutes_out_since(tx, who.club, last, who.now)
    run = clubs.run_minutes(tx, who.club)
    return {
        kit: Battery(
            gives=round(run[now.kit.kit_type] * SURE_SHARE),
            used=round(used.get(kit, 0) * who.settings.driving_percent / 100),
            charges=coming,
        )
        for kit, now in kits(tx, who.club).items()
    }


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
