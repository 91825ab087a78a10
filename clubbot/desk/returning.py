"""Taking a session's kits back by what is missing: one tap for each difference."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.desk.acting import Who, deed, look
from clubbot.desk.handover import take
from clubbot.desk.outcomes import due_today, out_lines
from clubbot.rules.model import KitId, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import TakenBack, WhatIsMissing
from clubbot.store.engine import Tx
from clubbot.store.kits import kits


@look(Deed.TAKE_BACK)
def which_missing(tx: Tx, who: Who, kit_ids: Sequence[KitId]) -> WhatIsMissing:
    """Return what is out and due, and which of it was tapped as missing so far."""
    known = kits(tx, who.club)
    due = {now.kit.id for now in known.values() if due_today(who, now)}
    lines = tuple(line for line in out_lines(tx, who, known) if line.kit.id in due)
    return WhatIsMissing(lines, tuple(kit for kit in kit_ids if kit in due))


@deed(Deed.TAKE_BACK)
def take_rest(tx: Tx, who: Who, kit_ids: Sequence[KitId]) -> TakenBack | Refused:
    """Take back all that is out and due but these."""
    known = kits(tx, who.club)
    chosen = [n for n in known.values() if due_today(who, n) and n.kit.id not in kit_ids]
    return take(tx, who, known, chosen)
