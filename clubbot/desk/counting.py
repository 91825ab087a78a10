"""A full count of a tray: the bot picks which, and only differences are said.

By eye, one tap for each piece that is missing; by compartment, where the list tells them; by a
typed number; or by weight, where a compartment holds one part only and the scale can tell.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.counting import (
    PartTold,
    changed,
    listed,
    read_part,
    spelled,
    tapped,
    to_count,
    with_missing,
)
from clubbot.rules.ledger import Detail, EntryKind, Parts
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import Counted, CountLine, CountsDue, CountSheet
from clubbot.store import dialogues, parts
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.parts import ListedPart

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
    """Begin the count of the kit that is named, or go on with it: "D", "D cables 28", "axles 5 g".

    What is said of a part without a kit is of the tray that is being counted.
    """
    known = kits(tx, who.club)
    now, rest = _kit_first(text, known.values())
    if now is not None and (told := read_part(rest)) is not None:
        _begin(tx, who, now)
        return _tell(tx, who, now, told)
    if now is None and (answered := take_answer(tx, who, text)) is not None:
        return answered
    wanted = named(text, known, {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return _begin(tx, who, wanted.kits[0])


def take_answer(tx: Tx, who: Who, text: str) -> CountSheet | Refused | None:
    """Take what is typed while a tray is counted, such as "cables 143 g"; None where it is none."""
    now = kits(tx, who.club).get(_standing_kit(tx, who) or KitId(0))
    told = read_part(text)
    if now is None or told is None or not may(who.role, Deed.TAKE_BACK):
        return None
    names = [part.name for part in _list(tx, who, now)]
    return _tell(tx, who, now, told) if spelled(told.part, names) in names else None


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
    sheet = _sheet(tx, who, now, tapped(missing, lines[place][0], lines[place][1]))
    return _show(tx, who, replace(sheet, box=_box(sheet, place)))


@deed(Deed.TAKE_BACK)
def count_box(tx: Tx, who: Who, kit: KitId, box: int) -> CountSheet | Refused:
    """Look into one compartment; one that there isn't shows the whole tray."""
    now = kits(tx, who.club).get(kit)
    missing = _so_far(tx, who, kit)
    if now is None or missing is None:
        return Refused(Reason.OUT_OF_DATE)
    sheet = _sheet(tx, who, now, missing)
    return _show(tx, who, replace(sheet, box=box if box < len(sheet.boxes) else None))


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
    return _show(tx, who, _sheet(tx, who, now, now.position.missing if stands is None else stands))


def _show(tx: Tx, who: Who, sheet: CountSheet) -> CountSheet:
    gone = sorted([name, missing] for name, _, missing in sheet.parts if missing)
    facts = {"kit": sheet.kit.id, "missing": gone}
    asking = who.asking
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
    return sheet


def _sheet(tx: Tx, who: Who, now: KitNow, missing: Parts) -> CountSheet:
    """Return a tray's list with its compartments, where there are several."""
    told = {part.name: part.compartment for part in _list(tx, who, now)}
    lines = listed(parts.contents(tx, who.club, now.kit.kit_type), missing)
    boxes = tuple(dict.fromkeys(box for box in told.values() if box))
    if len(boxes) < 2:
        return CountSheet(now.ref, lines)
    places = {box: place for place, box in enumerate(boxes)}
    lies = tuple(places.get(told.get(name) or "", -1) for name, _, _ in lines)
    return CountSheet(now.ref, lines, boxes, lies)


def _box(sheet: CountSheet, place: int) -> int | None:
    return sheet.lies[place] if sheet.lies and sheet.lies[place] >= 0 else None


def _list(tx: Tx, who: Who, now: KitNow) -> list[ListedPart]:
    return [part for part in parts.listed(tx, who.club) if part.kit_type == now.kit.kit_type]


def _so_far(tx: Tx, who: Who, kit: KitId) -> Parts | None:
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    if stands is None or stands.step != STEP or stands.facts["kit"] != kit:
        return None
    return tuple((name, number) for name, number in stands.facts["missing"])


def _standing_kit(tx: Tx, who: Who) -> KitId | None:
    """Return the kit whose tray this person is counting in this chat."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    return None if stands is None or stands.step != STEP else KitId(stands.facts["kit"])


def _kit_first(text: str, known: Iterable[KitNow]) -> tuple[KitNow | None, str]:
    """Split "D cables 143 g" into the kit and the rest."""
    for now in sorted(known, key=lambda each: len(each.kit.label), reverse=True):
        head, rest = text[: len(now.kit.label)], text[len(now.kit.label) :]
        if head.casefold() == now.kit.label.casefold() and rest[:1] in (" ", ":"):
            return now, rest.strip(" :")
    return None, text


# -- a typed number, or a weight ------------------------------------------------------------------


def _tell(tx: Tx, who: Who, now: KitNow, told: PartTold) -> CountSheet | Refused:
    """Note how many of a part there are, as it was typed or as it weighs."""
    every = _list(tx, who, now)
    name = spelled(told.part, [part.name for part in every])
    part = next((each for each in every if each.name == name), None)
    if part is None:
        names = tuple(each.name for each in every[:12])
        return Refused(Reason.UNKNOWN_PART, {"word": told.part, "parts": names})
    missing = _so_far(tx, who, now.kit.id) or ()
    known = part.number - dict(missing).get(name, 0)
    number = told.number
    if told.milligrams is not None:
        weighed = _weighed(who, every, part, known, told.milligrams)
        if isinstance(weighed, Refused):
            return weighed
        number = weighed
    if number is None or number > part.number:
        return Refused(Reason.CANNOT_WEIGH, {"part": name, "why": "too much"})
    sheet = _sheet(tx, who, now, with_missing(missing, name, part.number - number))
    return _show(tx, who, replace(sheet, told=(name, number, number == known)))


def _weighed(
    who: Who, every: list[ListedPart], part: ListedPart, known: int, milligrams: int
) -> int | Refused:
    """Return how many pieces a weight is, or why this scale can't say."""
    from clubbot.rules.stock.weighing import CannotTell, Piece, weigh

    step = who.settings.scale_step_mg
    facts: dict[str, object] = {"part": part.name, "step": f"{step / 1000:g} g"}
    beside = tuple(
        each.name for each in every if each.compartment == part.compartment and each is not part
    )
    if part.compartment is None:
        return Refused(Reason.CANNOT_WEIGH, facts | {"why": "no place"})
    if beside:
        return Refused(Reason.CANNOT_WEIGH, facts | {"why": "shared", "others": beside})
    if part.weight_mg is None:
        return Refused(Reason.CANNOT_WEIGH, facts | {"why": "no weight"})
    piece = Piece(part.weight_mg, part.spread_mg)
    found = weigh(milligrams, known, part.number, piece, step)
    if isinstance(found, CannotTell):
        more = {"why": found.why, "most": found.most, "near": found.near}
        return Refused(Reason.CANNOT_WEIGH, facts | more)
    return found.number
