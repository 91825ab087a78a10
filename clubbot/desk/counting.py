"""A full count of a tray: the bot picks which, and only differences are tapped."""

from __future__ import annotations

from datetime import timedelta

from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.counting import changed, listed, tapped, to_count
from clubbot.rules.ledger import Detail, EntryKind, Parts
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import Counted, CountLine, CountsDue, CountSheet
from clubbot.store import dialogues, parts
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

STEP = "count"
OVER_AFTER = timedelta(hours=12)
"""A count may be interrupted and gone on with the same day."""


def due(tx: Tx, who: Who) -> tuple[CountLine, ...]:
    """Return the kits to count today."""
    known = kits(tx, who.club)
    positions = {kit: now.position for kit, now in known.items()}
    away = parts.back_from_away(tx, who.club, who.now)
    return tuple(
        CountLine(known[each.kit].ref, each.why, each.counted_at)
        for each in to_count(positions, away, who.now)
    )


@look(Deed.TAKE_BACK)
def counts_due(tx: Tx, who: Who) -> CountsDue:
    """Return which kits to count today, and why those."""
    return CountsDue(due(tx, who))


@deed(Deed.TAKE_BACK)
def count(tx: Tx, who: Who, text: str) -> CountSheet | Refused:
    """Begin the count of the kit that is named."""
    wanted = named(text, kits(tx, who.club), {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return _begin(tx, who, wanted.kits[0])


@deed(Deed.TAKE_BACK)
def count_kit(tx: Tx, who: Who, kit: KitId) -> CountSheet | Refused:
    """Begin the count of this kit."""
    now = kits(tx, who.club).get(kit)
    return Refused(Reason.OUT_OF_DATE) if now is None else _begin(tx, who, now)


@deed(Deed.TAKE_BACK)
def count_less(tx: Tx, who: Who, kit: KitId, place: int) -> CountSheet | Refused:
    """Note one more of a part as missing; a tap more than there are begins at none again."""
    now = kits(tx, who.club).get(kit)
    missing = _so_far(tx, who, kit)
    if now is None or missing is None:
        return Refused(Reason.OUT_OF_DATE)
    lines = listed(parts.contents(tx, who.club, now.kit.kit_type), missing)
    if not 0 <= place < len(lines):
        return Refused(Reason.OUT_OF_DATE)
    return _show(tx, who, now, tapped(missing, lines[place][0], lines[place][1]))


@deed(Deed.TAKE_BACK)
def count_done(tx: Tx, who: Who, kit: KitId) -> Counted | Refused:
    """Write the count down as it was tapped."""
    now = kits(tx, who.club).get(kit)
    missing = _so_far(tx, who, kit)
    if now is None or missing is None:
        return Refused(Reason.OUT_OF_DATE)
    dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    who.append(tx, [Draft(EntryKind.COUNTED, kit=kit, detail=Detail(parts=missing))])
    new, back = changed(now.position.missing, missing)
    return Counted(now.ref, missing, new, back, now.position.counted_at)


def _begin(tx: Tx, who: Who, now: KitNow) -> CountSheet:
    """Show a tray's list; a count of it that was interrupted goes on where it stood."""
    stands = _so_far(tx, who, now.kit.id)
    return _show(tx, who, now, now.position.missing if stands is None else stands)


def _show(tx: Tx, who: Who, now: KitNow, missing: Parts) -> CountSheet:
    facts = {"kit": now.kit.id, "missing": [list(part) for part in missing]}
    asking = who.asking
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
    return CountSheet(now.ref, listed(parts.contents(tx, who.club, now.kit.kit_type), missing))


def _so_far(tx: Tx, who: Who, kit: KitId) -> Parts | None:
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    if stands is None or stands.step != STEP or stands.facts["kit"] != kit:
        return None
    return tuple((name, number) for name, number in stands.facts["missing"])
