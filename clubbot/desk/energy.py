"""What is believed of the batteries and tablets, from what the ledger says of each kit.

A belief goes along with the battery: what was used and said of a kit counts for whichever was in
it then. A kit in which none is listed has one without a name, for as long as none was fitted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from clubbot.desk import flat_reports
from clubbot.desk.acting import Who
from clubbot.rules.energy.assumed import TABLET
from clubbot.rules.energy.curve import Curve, of_full_charge
from clubbot.rules.energy.story import KINDS, MOVES, TELLING, Known, Past, begun, lived
from clubbot.rules.fitting import ALWAYS, Stay
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import ItemKind, KitId
from clubbot.store import clubs, fitting, ledger
from clubbot.store import kits as store_kits
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_LOOKED_BACK = timedelta(days=400)
"""What was said of a battery longer ago than this says little of it now."""
TABLETS_DRIVE = 100
"""A tablet is on all the time, whatever its robot does."""


def beliefs(tx: Tx, who: Who, wanted: Iterable[KitId], now: datetime) -> dict[KitId, Known]:
    """Return what is believed of the batteries that are in these kits."""
    told = _told(tx, who, now, own=False)
    stays = fitting.all_stays(tx, who.club).get(ItemKind.BATTERY, ())
    run = clubs.run_minutes(tx, who.club)
    fleet = kits(tx, who.club)
    percent = who.settings.driving_percent
    curve = curve_of(who, own=False)
    return {
        kit: lived(
            begun(run[fleet[kit].kit.kit_type], percent, curve), _of(kit, stays, now), told, now
        )
        for kit in wanted
    }


def tablets(tx: Tx, who: Who, wanted: Iterable[KitId], now: datetime) -> dict[KitId, Known]:
    """Return what is believed of the tablets of these kits, where one is listed or was spoken of.

    A kit may have none, so silence is no reason to ask for its charge.
    """
    told = _told(tx, who, now, own=True)
    stays = fitting.all_stays(tx, who.club).get(ItemKind.TABLET, ())
    spoken = {kit for kit, entries in told.items() if any(each.detail.own for each in entries)}
    there = {stay.kit for stay in stays if stay.end is None}
    fresh = _fresh_tablet(who)
    return {
        kit: lived(fresh, _of(kit, stays, now), told, now)
        for kit in wanted
        if kit in spoken or kit in there
    }


def here_since(tx: Tx, who: Who) -> dict[KitId, datetime]:
    """Return since when the battery of now is in each kit, where any was ever fitted to it."""
    found: dict[KitId, datetime] = {}
    for stay in fitting.all_stays(tx, who.club).get(ItemKind.BATTERY, ()):
        moment = stay.start if stay.end is None else stay.end
        found[stay.kit] = max(found.get(stay.kit, ALWAYS), moment)
    return found


def remember(tx: Tx, who: Who, wanted: Iterable[KitId]) -> None:
    """Keep what these kits' batteries give, so that bookings are planned with it.

    To be called in whatever writes down something that tells of a battery, or moves one.
    """
    seen = beliefs(tx, who, set(wanted), who.now)
    store_kits.keep_gives(
        tx,
        who.club,
        {
            kit: round(known.belief.run_time.low) if known.told else None
            for kit, known in seen.items()
        },
    )


def follow(tx: Tx, who: Who, entries: Iterable[Entry]) -> None:
    """Keep what batteries give after entries were written or cancelled, where they tell of any."""
    told = {each.kit for each in entries if each.kit is not None and _tells(each)}
    if told:
        remember(tx, who, told)


def _tells(entry: Entry) -> bool:
    moved = entry.item is not None and entry.kind in (EntryKind.FITTED, EntryKind.TAKEN_OFF)
    return moved or entry.kind in TELLING


def curve_of(who: Who, *, own: bool) -> Curve:
    """Return how the club's chargers charge a battery, or the tablets' own a tablet."""
    settings = who.settings
    return of_full_charge(settings.tablet_charge_minutes if own else settings.charge_minutes)


def tablet(tx: Tx, who: Who, kit: KitId, now: datetime) -> Known:
    """Return what is believed of a kit's tablet, even where nobody has spoken of one."""
    known = tablets(tx, who, [kit], now).get(kit)
    return known or _fresh_tablet(who).known


def _fresh_tablet(who: Who) -> Past:
    minutes, curve = who.settings.tablet_minutes, curve_of(who, own=True)
    return begun(minutes, TABLETS_DRIVE, curve, TABLET)


def _told(tx: Tx, who: Who, now: datetime, *, own: bool) -> Mapping[KitId, Sequence[Entry]]:
    """Return what was said of batteries, or of tablets, and when kits went out and came back."""
    since = now - _LOOKED_BACK
    entries = ledger.of_kinds(tx, who.club, KINDS, since)
    said = {
        kit: [each for each in told if each.detail.own is own or each.kind in MOVES]
        for kit, told in entries.items()
    }
    return said if own else flat_reports.added(tx, who, said, since)


def _of(kit: KitId, stays: Sequence[Stay], now: datetime) -> list[Stay]:
    """Return where the thing that is in a kit was, from the first to the last."""
    here = [stay for stay in stays if stay.kit == kit and stay.start <= now]
    current = [stay for stay in here if stay.end is None or stay.end > now]
    if current:
        return [stay for stay in stays if stay.item == current[-1].item]
    ends = [stay.end for stay in here if stay.end is not None]
    return [Stay(None, kit, max(ends, default=ALWAYS), None)]
