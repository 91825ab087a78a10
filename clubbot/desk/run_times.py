"""How long the batteries ran in their tests, and how long the sessions of a week need them."""

from __future__ import annotations

from datetime import datetime

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.rules.calendar import DAY
from clubbot.rules.energy.health import Need, need
from clubbot.rules.energy.story import TESTS
from clubbot.rules.energy.survival import RunTime
from clubbot.rules.ledger import EntryKind
from clubbot.rules.model import KitId
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow


def run_times(tx: Tx, who: Who, since: datetime) -> dict[KitId, list[tuple[datetime, RunTime]]]:
    """Return how long the battery that is in each kit ran in its tests since then, in order."""
    here = energy.here_since(tx, who)
    return {
        kit: [
            (each.happened_at, RunTime(each.detail.minutes, each.kind is EntryKind.RUN_TIME_TESTED))
            for each in entries
            if each.detail.minutes and each.happened_at >= here.get(kit, since)
        ]
        for kit, entries in ledger.of_kinds(tx, who.club, TESTS, since).items()
    }


def needed(tx: Tx, who: Who, now: KitNow) -> Need:
    """Return what the club's sessions of a usual week ask of a kit's battery."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    monday = calendar.day_of(who.now) - DAY * calendar.day_of(who.now).weekday()
    windows = [each.window for n in range(7) for each in calendar.usual(monday + n * DAY)]
    usual = clubs.run_minutes(tx, who.club)[now.kit.kit_type]
    return need(windows, who.settings.driving_percent, usual)
