"""Fitting a battery, tablet, unit or charger to a kit, and what is fitted to which."""

from __future__ import annotations

from clubbot.desk import energy
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.fitting import ALWAYS, LONGEST_NAME, Fit, read, whose
from clubbot.rules.ledger import EntryKind, Use
from clubbot.rules.model import ItemId, Kit, KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Fitted,
    FittedThing,
    KitRef,
    ThingFitted,
    ThingListed,
    ThingTakenOff,
)
from clubbot.rules.tidy import tidy
from clubbot.store import fitting
from clubbot.store.engine import Tx
from clubbot.store.fitting import Thing
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft

_ASK = Refused(Reason.NOT_UNDERSTOOD, {"wanted": "fitting"})


@look(Deed.FIT)
def fitted(tx: Tx, who: Who, text: str) -> Fitted | Refused:
    """Return what is fitted to a kit, or to which kit a thing is: "D" or "battery B7"."""
    fit = read(text)
    known = kits(tx, who.club)
    refs = {kit: now.ref for kit, now in known.items()}
    if fit.kind is None:
        if not fit.kit:
            return _ASK
        now = _one(fit.kit, tx, who)
        if isinstance(now, Refused):
            return now
        mine = [each for each in fitting.things(tx, who.club) if each.kit == now.kit.id]
        return Fitted(tuple(_shown(each, refs) for each in mine), now.ref)
    found = [
        each
        for each in fitting.things(tx, who.club, fit.kind)
        if each.serial.casefold() == fit.name.casefold()
    ]
    return Fitted(tuple(_shown(each, refs) for each in found), None) if found else _ASK


@deed(Deed.FIT)
def fit(tx: Tx, who: Who, text: str) -> ThingFitted | ThingTakenOff | Refused:
    """Fit a thing to a kit from now on, in place of the one there; one never heard of is listed.

    Such as "battery B7 to D"; "battery off D" takes it off.
    """
    said = read(text)
    if said.kind is None or not said.kit or len(said.name) > LONGEST_NAME:
        return _ASK
    now = _one(said.kit, tx, who)
    if isinstance(now, Refused):
        return now
    known = fitting.things(tx, who.club, said.kind)
    if said.off:
        return _taken_off(tx, who, now, [each for each in known if each.kit == now.kit.id])
    return _fitted(tx, who, now, said, known)


@deed(Deed.FIT)
def was_there(tx: Tx, who: Who, number: int) -> ThingListed | Refused:
    """Note that a thing just fitted to a kit had been in it before: what was used of it counts."""
    mine = next((each for each in fitting.things(tx, who.club) if each.id == number), None)
    fresh = mine is not None and mine.kit is not None and _only_stay(tx, who, mine)
    if mine is None or mine.kit is None or not fresh:
        return Refused(Reason.OUT_OF_DATE)
    who.append(tx, fitting.listed_before(tx, who.club, mine.kit, mine.id))
    energy.remember(tx, who, [mine.kit])
    refs = {kit: now.ref for kit, now in kits(tx, who.club).items()}
    return ThingListed(_shown(mine, refs), refs[mine.kit])


def _only_stay(tx: Tx, who: Who, mine: Thing) -> bool:
    """Say whether nothing else is known of where a thing, and its kit's of that kind, were."""
    every = fitting.all_stays(tx, who.club).get(mine.kind, ())
    near = [each for each in every if each.item == mine.id or each.kit == mine.kit]
    return len(near) == 1 and near[0].start != ALWAYS


def _fitted(tx: Tx, who: Who, now: KitNow, said: Fit, known: list[Thing]) -> ThingFitted | Refused:
    assert said.kind is not None  # noqa: S101 - its caller has asked for one
    name = tidy(said.name)
    mine = _meant(tx, who, now, name, known)
    if isinstance(mine, Kit):
        facts = {"wanted": "own name", "kind": str(said.kind), "labels": (mine.label,)}
        return Refused(Reason.NOT_UNDERSTOOD, facts)
    if mine is not None and mine.use in (Use.LOST, Use.SCRAPPED):
        return Refused(Reason.ALREADY, {"what": f"{mine.use} thing", "labels": (mine.serial,)})
    if mine is not None and mine.kit == now.kit.id:
        return Refused(Reason.ALREADY, {"what": "fitted", "labels": (mine.serial,)})
    there = [each for each in known if each.kit == now.kit.id]
    item = fitting.add(tx, who.club, said.kind, name) if mine is None else mine.id
    who.append(tx, fitting.put_in(tx, who.club, now.kit.id, item))
    was = mine.kit if mine is not None else None
    energy.remember(tx, who, [now.kit.id, *([was] if was else [])])
    refs = {kit: each.ref for kit, each in kits(tx, who.club).items()}
    return ThingFitted(
        thing=FittedThing(said.kind, mine.serial if mine else name, now.ref),
        kit=now.ref,
        was_in=refs.get(mine.kit) if mine and mine.kit else None,
        out=tuple(each.serial for each in there),
        new=mine is None,
        ask=_asked(tx, who, now.kit.id, item) if mine is None and not said.new else 0,
    )


def _meant(tx: Tx, who: Who, now: KitNow, name: str, known: list[Thing]) -> Thing | Kit | None:
    """Return the thing of a name, or the one in the other kit by which it is named ("E's").

    That kit itself where none is listed in it; None where the name is new.
    """
    mine = next((each for each in known if name and _same(each.serial, name)), None)
    fleet = kits(tx, who.club).values()
    other = next((each.kit for each in fleet if _same(each.kit.label, whose(name))), None)
    if mine is not None or other is None or other.id == now.kit.id:
        return mine
    return next((each for each in known if each.kit == other.id), other)


def _asked(tx: Tx, who: Who, kit: KitId, item: ItemId) -> int:
    mine = next(each for each in fitting.things(tx, who.club) if each.id == item)
    return item if _only_stay(tx, who, mine) else 0


def _taken_off(tx: Tx, who: Who, now: KitNow, there: list[Thing]) -> ThingTakenOff | Refused:
    if not there:
        return Refused(Reason.ALREADY, {"what": "nothing fitted", "labels": (now.kit.label,)})
    who.append(tx, [Draft(EntryKind.TAKEN_OFF, kit=now.kit.id, item=each.id) for each in there])
    energy.remember(tx, who, [now.kit.id])
    return ThingTakenOff(there[0].kind, tuple(each.serial for each in there), now.ref)


def _same(serial: str, name: str) -> bool:
    return serial.casefold() == name.casefold()


def _shown(thing: Thing, refs: dict[KitId, KitRef]) -> FittedThing:
    return FittedThing(thing.kind, thing.serial, refs.get(thing.kit) if thing.kit else None)


def _one(text: str, tx: Tx, who: Who) -> KitNow | Refused:
    wanted = named(text, kits(tx, who.club), {})
    if isinstance(wanted, Refused):
        return wanted
    return wanted.kits[0] if len(wanted.kits) == 1 else Refused(Reason.UNKNOWN_KIT, {"word": ""})
