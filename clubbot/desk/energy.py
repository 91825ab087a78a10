"""What is believed of the batteries, from what the ledger says of each kit."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from clubbot.desk.acting import Who
from clubbot.rules.energy.story import KINDS, Known, known
from clubbot.rules.model import KitId
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_LOOKED_BACK = timedelta(days=400)
"""What was said of a battery longer ago than this says little of it now."""


def beliefs(tx: Tx, who: Who, wanted: Iterable[KitId], now: datetime) -> dict[KitId, Known]:
    """Return what is believed of these kits' batteries."""
    entries = ledger.of_kinds(tx, who.club, KINDS, now - _LOOKED_BACK)
    run = clubs.run_minutes(tx, who.club)
    fleet = kits(tx, who.club)
    return {
        kit: known(
            run[fleet[kit].kit.kit_type], entries.get(kit, []), now, who.settings.driving_percent
        )
        for kit in wanted
    }
