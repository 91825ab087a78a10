"""What is on the chargers by the books: what was put on, less what ended its charge since then.

That follows from the ledger, so that a kit which is given out, held, lost or noted as charged is on
no charger any more, whoever said so and however; and is again where that is undone.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from clubbot.rules.ledger import Entry, EntryKind, Use
from clubbot.rules.model import ClubId
from clubbot.rules.results import KitRef
from clubbot.store import charging as store
from clubbot.store import ledger
from clubbot.store.charging import OnCharge, Thing
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits

_CHARGEABLE = (Use.IN_USE, Use.WITHDRAWN)
_MOVED = (
    EntryKind.GIVEN_OUT,
    EntryKind.PASSED_ON,
    EntryKind.RELEASED,
    EntryKind.LOST,
    EntryKind.SCRAPPED,
    EntryKind.CHARGED,
)
"""After these a kit lies on no charger, or its charge is noted already."""
_ENDS = (*_MOVED, EntryKind.HELD)
"""After these it isn't charged any more."""


def why_not(now: KitNow) -> str:
    """Return why a kit can't be on a charger, in the ledger's words; "" where it can."""
    if now.position.use not in _CHARGEABLE:
        return str(now.position.use)
    return "out" if now.position.out else ""


def on_chargers(tx: Tx, club: ClubId) -> dict[Thing, OnCharge]:
    """Return all that is on the chargers, in the order of the bays."""
    fleet = kits(tx, club)
    return {
        thing: each
        for thing, each in _not_ended(tx, club, _ENDS).items()
        if not why_not(fleet[thing[0]])
    }


def bays_of(tx: Tx, club: ClubId, wanted: Iterable[KitNow]) -> tuple[tuple[KitRef, int], ...]:
    """Return on which bays the units of kits are, or still lie since they were put on hold."""
    on = _not_ended(tx, club, _MOVED)
    things = [(now, (now.kit.id, False)) for now in wanted]
    return tuple((now.ref, on[thing].bay) for now, thing in things if thing in on)


def left_empty(tx: Tx, club: ClubId) -> tuple[tuple[KitRef, int], ...]:
    """Return the bays that nothing is put on: where a kit was on that is on hold since then."""
    return bays_of(tx, club, [now for now in kits(tx, club).values() if now.position.held])


def _not_ended(tx: Tx, club: ClubId, ends: Iterable[EntryKind]) -> dict[Thing, OnCharge]:
    noted = {thing: each for thing, each in store.on_charge(tx, club).items() if _takes_time(each)}
    if not noted:
        return {}
    said = ledger.of_kinds(tx, club, ends, min(each.put_on_at for each in noted.values()))
    return {
        thing: each
        for thing, each in noted.items()
        if not any(_is_over(each, entry) for entry in said.get(thing[0], ()))
    }


def clear(tx: Tx, club: ClubId, before: datetime) -> None:
    """Forget what was put on before then and is off: nobody undoes any more what ended that."""
    lies = {*on_chargers(tx, club), *((kit.id, False) for kit, _ in left_empty(tx, club))}
    noted = store.on_charge(tx, club)
    off = [thing for thing, each in noted.items() if thing not in lies and each.put_on_at < before]
    store.take_off(tx, club, off)


def _takes_time(on: OnCharge) -> bool:
    """Say whether it was put on for any time: what was full used to be noted all the same."""
    return on.until > on.put_on_at


def _is_over(on: OnCharge, entry: Entry) -> bool:
    theirs = entry.kind is not EntryKind.CHARGED or entry.detail.own == on.thing[1]
    return theirs and entry.happened_at > on.put_on_at
