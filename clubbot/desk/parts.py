"""Parts: found, bought, lent, broken or sent off, and trays made whole again."""

from __future__ import annotations

from clubbot.desk.acting import Who, deed, look
from clubbot.desk.trays import StoreRoom, look_round
from clubbot.rules.entries import Parts, PartsFrom
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import KitId, KitTypeId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import KitRef, PartsNoted, PartsShown
from clubbot.rules.stock.books import Stock
from clubbot.rules.stock.reading import Saying, Told, read_parts
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.ledger import Draft

_OF_THE_SHELF: dict[Saying, tuple[EntryKind, PartsFrom]] = {
    Saying.FOUND: (EntryKind.PARTS_FOUND, ""),
    Saying.BOUGHT: (EntryKind.PARTS_BOUGHT, ""),
    Saying.ORDERED: (EntryKind.PARTS_ORDERED, ""),
    Saying.SHELF: (EntryKind.SHELF_COUNTED, ""),
    Saying.TO_SHELF: (EntryKind.PARTS_SHELVED, "found"),
    Saying.SENT: (EntryKind.PARTS_SENT, "broken"),
    Saying.REPLACED: (EntryKind.PARTS_SHELVED, "supplier"),
    Saying.BROKEN: (EntryKind.PARTS_BROKEN, "shelf"),
}
_MAY_BE_NONE = (Saying.SHELF, Saying.ORDERED)
_OF_A_TRAY = {
    Saying.BROKEN: EntryKind.PARTS_BROKEN,
    Saying.SHORT: EntryKind.SHORT,
    Saying.OUT: EntryKind.PARTS_OUT,
}


@look(Deed.PARTS)
def shown(tx: Tx, who: Who) -> PartsShown:
    """Return the gaps in the trays and what could fill them."""
    room = look_round(tx, who)
    return PartsShown(room.gap_lines(), room.lying("found"), room.lying("shelf"))


@deed(Deed.PARTS)
def note(tx: Tx, who: Who, text: str) -> PartsNoted | Refused:
    """Note what a line says of parts: "found 2 cables", "D from shelf", "D broken 1 axle"."""
    room = look_round(tx, who)
    told = read_parts(text, [now.kit.label for now in room.known.values()])
    if told is None or (told.what not in _MAY_BE_NONE and any(not n for _, n in told.parts)):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "parts"})
    if not told.kit:
        return _of_the_shelf(tx, who, room, told)
    now = _named(room, told.kit)
    parts = room.meant(now.kit.kit_type, told.parts)
    if isinstance(parts, Refused):
        return parts
    match told.what:
        case Saying.FROM_SHELF:
            return _fill(tx, who, room, now, "shelf", parts)
        case Saying.FROM_FOUND:
            return _fill(tx, who, room, now, "found", parts)
        case Saying.TURNED_UP:
            return _fill(tx, who, room, now, "", parts)
        case Saying.FROM_KIT:
            return _lend(tx, who, room, _named(room, told.other), now, parts)
    return _of_a_tray(tx, who, room, now, told.what, parts)


def _named(room: StoreRoom, label: str) -> KitNow:
    return next(now for now in room.known.values() if now.kit.label == label)


def _of_the_shelf(tx: Tx, who: Who, room: StoreRoom, told: Told) -> PartsNoted | Refused:
    kit_type = room.type_of(told.parts)
    if isinstance(kit_type, Refused):
        return kit_type
    parts = room.meant(kit_type, told.parts)
    if isinstance(parts, Refused):
        return parts
    kind, source = _OF_THE_SHELF[told.what]
    if source and (refused := _too_many(room, kit_type, source, parts)):
        return refused
    who.append(tx, [Draft(kind, kit_type=kit_type, detail=Detail(parts=parts, source=source))])
    fresh = look_round(tx, who)
    came = told.what in (Saying.FOUND, Saying.BOUGHT, Saying.REPLACED, Saying.TO_SHELF)
    gaps = fresh.gap_lines([name for name, _ in parts]) if came else ()
    return PartsNoted(str(told.what), parts, None, None, (), _there(fresh, kit_type, parts), gaps)


def _too_many(
    room: StoreRoom, kit_type: KitTypeId, source: PartsFrom, parts: Parts
) -> Refused | None:
    """Refuse to take more from somewhere than there is."""
    for name, number in parts:
        had = room.books.stock.get((kit_type, name.casefold()), Stock())
        there = getattr(had, source)
        if number > there:
            return Refused(Reason.NOT_THAT_MANY, {"part": name, "number": there, "where": source})
    return None


def _of_a_tray(
    tx: Tx, who: Who, room: StoreRoom, now: KitNow, what: Saying, parts: Parts
) -> PartsNoted | Refused:
    """Take parts out of a tray: they broke, are missing, or go to the shelf."""
    if what is not Saying.SHORT and (refused := _not_in_tray(room, now, parts)):
        return refused
    detail = Detail(parts=parts)
    who.append(tx, [_draft(_OF_A_TRAY[what], now, detail)])
    return _noted(tx, who, str(what), parts, now.kit.id)


def _not_in_tray(room: StoreRoom, now: KitNow, parts: Parts) -> Refused | None:
    holds = room.holds(now)
    for name, number in parts:
        there = holds.get(name.casefold(), number)
        if number > there:
            facts = {"part": name, "number": there, "where": "tray", "label": now.kit.label}
            return Refused(Reason.NOT_THAT_MANY, facts)
    return None


def _draft(kind: EntryKind, now: KitNow, detail: Detail) -> Draft:
    return Draft(kind, kit=now.kit.id, kit_type=now.kit.kit_type, detail=detail)


def _noted(
    tx: Tx, who: Who, what: str, parts: Parts, kit: KitId, other: KitRef | None = None
) -> PartsNoted:
    fresh = look_round(tx, who)
    now = fresh.known[kit]
    there = _there(fresh, now.kit.kit_type, parts)
    return PartsNoted(what, parts, now.ref, other, now.position.missing, there)


def _there(room: StoreRoom, kit_type: KitTypeId, parts: Parts) -> Parts:
    stock = room.books.stock
    return tuple((name, stock.get((kit_type, name.casefold()), Stock()).shelf) for name, _ in parts)


# -- making whole ---------------------------------------------------------------------------------


@deed(Deed.PARTS)
def make_whole(tx: Tx, who: Who, kit: KitId) -> PartsNoted | Refused:
    """Put into a tray what it lacks, as far as parts without a home and the shelf go."""
    room = look_round(tx, who)
    filling = next((each for each in room.fillings() if each.kit == kit), None)
    if filling is None or not filling.here or not (filling.found or filling.shelf):
        return Refused(Reason.OUT_OF_DATE)
    now = room.known[kit]
    sources: tuple[tuple[PartsFrom, Parts], ...] = (
        ("found", filling.found),
        ("shelf", filling.shelf),
    )
    drafts = [
        _draft(EntryKind.PARTS_IN, now, Detail(parts=parts, source=source))
        for source, parts in sources
        if parts
    ]
    who.append(tx, drafts)
    put_in = _summed(filling.found, filling.shelf)
    return _noted(tx, who, "put in", put_in, kit)


@deed(Deed.PARTS)
def lend(tx: Tx, who: Who, lender: KitId, kit: KitId) -> PartsNoted | Refused:
    """Put into a tray what it lacks from a kit that waits for repair."""
    room = look_round(tx, who)
    if lender not in room.known or kit not in room.known:
        return Refused(Reason.OUT_OF_DATE)
    return _lend(tx, who, room, room.known[lender], room.known[kit], ())


@deed(Deed.PARTS)
def shelve_found(tx: Tx, who: Who) -> PartsNoted | Refused:
    """Put all that was found without a home onto the shelf."""
    room = look_round(tx, who)
    drafts = []
    every: Parts = ()
    for kit_type in room.types:
        parts = tuple(
            (room.spelled(of, name), had.found)
            for (of, name), had in sorted(room.books.stock.items())
            if of == kit_type and had.found
        )
        if parts:
            detail = Detail(parts=parts, source="found")
            drafts.append(Draft(EntryKind.PARTS_SHELVED, kit_type=kit_type, detail=detail))
            every = _summed(every, parts)
    if not drafts:
        return Refused(Reason.OUT_OF_DATE)
    who.append(tx, drafts)
    there = tuple(
        (name, n) for name, n in look_round(tx, who).lying("shelf") if name in dict(every)
    )
    return PartsNoted(str(Saying.TO_SHELF), every, None, None, (), there)


def _fill(
    tx: Tx, who: Who, room: StoreRoom, now: KitNow, source: PartsFrom, wanted: Parts
) -> PartsNoted | Refused:
    """Put parts into a tray that lacks them; without any named, all that it lacks and there is.

    Those without a source turned up where they were missing.
    """
    if now.position.out:
        return Refused(Reason.ALREADY, {"what": "out", "labels": (now.kit.label,)})
    parts = _wanted(now, wanted)
    if isinstance(parts, Refused):
        return parts
    kit_type = now.kit.kit_type
    if not wanted:
        parts = _at_most(
            parts,
            {
                name: getattr(had, source)
                for (of, name), had in room.books.stock.items()
                if of == kit_type
            },
        )
    if source and (refused := _too_many(room, kit_type, source, parts)):
        return refused
    if not parts:
        return Refused(Reason.NOT_THAT_MANY, {"part": "", "number": 0, "where": source})
    who.append(tx, [_draft(EntryKind.PARTS_IN, now, Detail(parts=parts, source=source))])
    return _noted(tx, who, "put in", parts, now.kit.id)


def _lend(
    tx: Tx, who: Who, room: StoreRoom, lender: KitNow, now: KitNow, wanted: Parts
) -> PartsNoted | Refused:
    """Move parts from one tray to another; a kit that has borrowed may always give back."""
    back = any(pair[:2] == (now.kit.id, lender.kit.id) for pair in room.books.loans)
    if not back and not room.lends(lender):
        return _no_lender(room, lender)
    if now.position.out or lender.position.out:
        gone = now if now.position.out else lender
        return Refused(Reason.ALREADY, {"what": "out", "labels": (gone.kit.label,)})
    parts = _wanted(now, wanted)
    if isinstance(parts, Refused):
        return parts
    if not wanted:
        parts = _at_most(parts, room.holds(lender))
    if lender.kit.kit_type != now.kit.kit_type or not parts:
        return Refused(Reason.NO_LENDER, {"label": lender.kit.label, "why": "nothing"})
    if refused := _not_in_tray(room, lender, parts):
        return refused
    given = _draft(EntryKind.PARTS_LENT, lender, Detail(parts=parts, other=now.kit.id))
    got = Detail(parts=parts, source="kit", other=lender.kit.id)
    who.append(tx, [given, _draft(EntryKind.PARTS_IN, now, got)])
    return _noted(tx, who, "given back" if back else "lent", parts, now.kit.id, lender.ref)


def _no_lender(room: StoreRoom, lender: KitNow) -> Refused:
    why = "in use"
    if lender.kit.id in room.claimed:
        why = "claim"
    elif lender.kit.id in room.dangerous or lender.position.held is not None:
        why = "hold"
    return Refused(Reason.NO_LENDER, {"label": lender.kit.label, "why": why})


def _wanted(now: KitNow, wanted: Parts) -> Parts | Refused:
    """Return parts as the tray's gaps are spelled; refused where it doesn't lack them."""
    lacks = {name.casefold(): (name, number) for name, number in now.position.missing}
    if not wanted:
        wanted = now.position.missing
    found = []
    for name, number in wanted:
        spelled, lacking = lacks.get(name.casefold(), (name, 0))
        if number > lacking:
            facts = {"part": name, "number": lacking, "where": "gap", "label": now.kit.label}
            return Refused(Reason.NOT_THAT_MANY, facts)
        found.append((spelled, number))
    if not found:
        facts = {"part": "", "number": 0, "where": "gap", "label": now.kit.label}
        return Refused(Reason.NOT_THAT_MANY, facts)
    return tuple(sorted(found))


def _at_most(parts: Parts, there: dict[str, int]) -> Parts:
    some = ((name, min(number, there.get(name.casefold(), 0))) for name, number in parts)
    return tuple((name, number) for name, number in some if number > 0)


def _summed(*several: Parts) -> Parts:
    numbers: dict[str, int] = {}
    for parts in several:
        for name, number in parts:
            numbers[name] = numbers.get(name, 0) + number
    return tuple(sorted(numbers.items()))
