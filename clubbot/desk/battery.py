"""One kit's battery: what is believed of it and why, and what people say of it."""

from __future__ import annotations

from datetime import timedelta

from clubbot.desk import energy
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.energy.belief import chance_worn
from clubbot.rules.energy.saying import of_tablet, read
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import BatteryCard, BatterySaid, FlatCause
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

_WORN_SHARE = 0.75
"""A battery that gives less than this share of the usual run time counts as worn; common practice,
no source."""
CAUSES = {"on": "left on", "plug": "not plugged in", "strip": "socket strip off"}
"""Why a battery is found flat at the start; none of them is its own fault."""
_ASKED_FOR = timedelta(hours=12)
_PRESSED = {
    "flat": EntryKind.RAN_FLAT,
    "running": EntryKind.STILL_RUNNING,
    "start": EntryKind.FOUND_FLAT,
}


@look(Deed.SEE_KIT)
def battery(tx: Tx, who: Who, text: str) -> BatteryCard | Refused:
    """Return how full a kit's battery is thought to be, how long it lasts, and why."""
    own, rest = of_tablet(text)
    found = _one(tx, who, rest)
    return found if isinstance(found, Refused) else _card(tx, who, found, own=own)


@deed(Deed.SAY_BATTERY)
def say_of_battery(tx: Tx, who: Who, text: str) -> BatterySaid | Refused:
    """Note what a text says of a battery, such as "D 40 %" or "D ran flat after 20 min"."""
    said = read(text)
    if said is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "battery"})
    found = _one(tx, who, said.rest)
    if isinstance(found, Refused):
        return found
    return _noted(tx, who, found, said.kind, said.detail)


@deed(Deed.SAY_BATTERY)
def press_of_battery(tx: Tx, who: Who, kit: int, what: str) -> BatterySaid | Refused:
    """Note what a button says of a kit's battery: that it ran flat, still runs, was found flat."""
    found = kits(tx, who.club).get(KitId(kit))
    if found is None or what not in _PRESSED:
        return Refused(Reason.OUT_OF_DATE)
    return _noted(tx, who, found, _PRESSED[what], Detail())


@deed(Deed.SAY_BATTERY)
def flat_cause(tx: Tx, who: Who, kit: int, why: str) -> FlatCause | Refused:
    """Note why a battery was found flat at the start; the entry says it from then on."""
    now = kits(tx, who.club).get(KitId(kit))
    told = ledger.of_kinds(tx, who.club, [EntryKind.FOUND_FLAT], who.now - _ASKED_FOR)
    last = next((each for each in reversed(told.get(KitId(kit), [])) if not each.detail.note), None)
    if now is None or last is None or why not in CAUSES:
        return Refused(Reason.OUT_OF_DATE)
    cancel = Draft(EntryKind.CORRECTED, kit=now.kit.id, cancels=last.seq)
    again = Draft(EntryKind.FOUND_FLAT, kit=now.kit.id, detail=Detail(note=CAUSES[why]))
    who.append(tx, [cancel])
    who.append(tx, [again], happened_at=last.happened_at)
    return FlatCause(now.ref, CAUSES[why])


def _one(tx: Tx, who: Who, text: str) -> KitNow | Refused:
    wanted = named(text, kits(tx, who.club), {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return wanted.kits[0]


def _noted(tx: Tx, who: Who, now: KitNow, kind: EntryKind, detail: Detail) -> BatterySaid | Refused:
    signed = kind is EntryKind.CHARGED and not detail.own
    if (kind is EntryKind.RUN_TIME_TESTED and not who.role.staff) or (
        signed and not may(who.role, Deed.SIGN_CHARGE)
    ):
        return Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.SIGN_CHARGE)})
    who.append(tx, [Draft(kind, kit=now.kit.id, detail=detail)])
    if not detail.own:
        energy.remember(tx, who, [now.kit.id])
    card = _card(tx, who, now, own=detail.own)
    return BatterySaid(str(kind), detail.percent, detail.minutes, card)


def _card(tx: Tx, who: Who, now: KitNow, *, own: bool) -> BatteryCard:
    if own:
        usual = who.settings.tablet_minutes
        known = energy.tablet(tx, who, now.kit.id, who.now)
    else:
        usual = clubs.run_minutes(tx, who.club)[now.kit.kit_type]
        known = energy.beliefs(tx, who, [now.kit.id], who.now)[now.kit.id]
    level, run, left = known.belief.level, known.belief.run_time, known.belief.left
    return BatteryCard(
        kit=now.ref,
        level=(round(100 * level.low), round(100 * level.middle), round(100 * level.high)),
        run=(round(run.low), round(run.middle), round(run.high)),
        left=(round(left.low), round(left.middle), round(left.high)),
        charged_at=known.charged_at,
        driven=round(known.driven),
        told=known.told,
        flat_starts=known.flat_starts,
        worn=round(100 * chance_worn(known.belief, _WORN_SHARE * usual)),
        usual=usual,
        own=own,
        charged_full=known.charged_full,
        on_hold=now.position.held is not None,
    )
