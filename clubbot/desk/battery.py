"""One kit's battery: what is believed of it and why, and what people say of it."""

from __future__ import annotations

from datetime import timedelta

from clubbot.desk import charging, energy
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import Named, named
from clubbot.rules.energy.belief import chance_worn
from clubbot.rules.energy.saying import (
    Said,
    asks,
    asks_only_of_charge,
    bare_level,
    beside,
    of_tablet,
    read,
    why_unread,
)
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import BatteryCard, BatterySaid, Charged, FlatCause
from clubbot.store import clubs, ledger
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

_WORN_SHARE = 0.75
"""A battery that gives less than this share of the usual run time counts as worn; common practice,
no source."""
CAUSES = {"on": "left on", "plug": "not plugged in", "strip": "socket strip off"}
"""Why a battery is found flat at the start; none of them is its own fault."""
_PLAIN = (
    EntryKind.LEVEL_SEEN,
    EntryKind.STILL_RUNNING,
    EntryKind.FOUND_FLAT,
    EntryKind.CHARGED,
)
"""What a plain sentence, without a command, says of a battery alone."""
_ASKED_FOR = timedelta(hours=12)
_PRESSED = {
    "flat": EntryKind.RAN_FLAT,
    "running": EntryKind.STILL_RUNNING,
    "start": EntryKind.FOUND_FLAT,
}


@look(Deed.SEE_KIT)
def battery(tx: Tx, who: Who, text: str) -> BatteryCard | Refused:
    """Return how full a kit's battery is thought to be, how long it lasts, and why."""
    return _asked(tx, who, text)


@deed(Deed.SAY_BATTERY)
def say_of_battery(tx: Tx, who: Who, text: str) -> BatterySaid | BatteryCard | Refused:
    """Note what a text says of a battery, such as "D 40 %" or "D ran flat after 20 min"."""
    said = read(text) or _bare(tx, who, text)
    if said is None:
        return _asked(tx, who, text)
    found = _one(tx, who, said.rest)
    return found if isinstance(found, Refused) else _noted(tx, who, found, said.kind, said.detail)


def sounds_told(tx: Tx, who: Who, text: str) -> bool:
    """Say whether a plain sentence surely tells of batteries, and of nothing else."""
    return _sure(text, _labels(tx, who)) is not None


def heard(tx: Tx, who: Who, text: str) -> BatterySaid | BatteryCard | Charged | Refused | None:
    """Take a sentence that surely tells of a kit's battery, or asks of it; None: it does neither.

    That one ran flat is a fault's report, which tells of the battery too.
    """
    said = _sure(text, _labels(tx, who))
    if said is None:
        if not asks_only_of_charge(text, _labels(tx, who)):
            return None
        own, rest = of_tablet(text)
        asked = _one(tx, who, rest)
        return None if isinstance(asked, Refused) else _card(tx, who, asked, own=own)
    wanted = named(said.rest, kits(tx, who.club), {})
    if isinstance(wanted, Refused) or not wanted.kits:
        return None
    if said.kind is EntryKind.CHARGED:
        own, refused = said.detail.own, _may_not(who, said.kind, own=said.detail.own)
        units, tablets = ((), wanted.kits) if own else (wanted.kits, ())
        return refused or charging.note_charged(tx, who, units, tablets, said.detail.percent)
    one = len(wanted.kits) == 1
    return _noted(tx, who, wanted.kits[0], said.kind, said.detail) if one else None


def _labels(tx: Tx, who: Who) -> list[str]:
    return [now.kit.label for now in kits(tx, who.club).values()]


def _sure(text: str, labels: list[str]) -> Said | None:
    said = read(text)
    if said is None or said.faint or said.kind not in _PLAIN:
        return None
    return said if beside(said.rest, ()) and not beside(said.rest, labels) else None


def _asked(tx: Tx, who: Who, text: str) -> BatteryCard | Refused:
    """Return a kit's card; words that may be meant to say something of it are no question."""
    own, rest = of_tablet(text)
    more = beside(rest, _labels(tx, who), asked=True)
    if more and more != beside(rest, (), asked=True) and not asks(text):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": why_unread(text)})
    found = _one(tx, who, rest)
    return found if isinstance(found, Refused) else _card(tx, who, found, own=own)


def _bare(tx: Tx, who: Who, text: str) -> Said | None:
    """Return the level of a number behind a kit, where it is no kit's own number."""
    said, known = bare_level(text), kits(tx, who.club)
    if said is None or beside(said.rest, _labels(tx, who)):
        return None
    whole, part = named(text, known, {}), named(said.rest, known, {})
    if isinstance(part, Refused) or len(part.kits) != 1:
        return None
    of_label = isinstance(whole, Named) and whole.kits != part.kits
    return None if of_label else said


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
    if len(wanted.kits) > 1:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "one battery"})
    return wanted.kits[0] if wanted.kits else Refused(Reason.UNKNOWN_KIT, {"word": ""})


def _may_not(who: Who, kind: EntryKind, *, own: bool) -> Refused | None:
    signed = kind is EntryKind.CHARGED and not own
    if (kind is EntryKind.RUN_TIME_TESTED and not who.role.staff) or (
        signed and not may(who.role, Deed.SIGN_CHARGE)
    ):
        return Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.SIGN_CHARGE)})
    return None


def _noted(tx: Tx, who: Who, now: KitNow, kind: EntryKind, detail: Detail) -> BatterySaid | Refused:
    if refused := _may_not(who, kind, own=detail.own) or charging.held_back(kind, [now]):
        return refused
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
