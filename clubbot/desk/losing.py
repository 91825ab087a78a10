"""Lost or stolen: noted with what is known of it, planned without, and found again."""

from __future__ import annotations

import re

from clubbot.desk import notices, waiting
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.desk.outcomes import end_where_all_back
from clubbot.desk.replanning import plan_anew
from clubbot.rules.ledger import Detail, EntryKind, standing
from clubbot.rules.model import ItemId, ItemKind, KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Losses,
    LossFound,
    LossLine,
    LossNoted,
    LossTold,
    Pictures,
    PicturesNoted,
)
from clubbot.store import clubs, fitting, losses
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft, entries_about
from clubbot.store.losses import LossRow
from clubbot.store.notices import NoticeRow

LONGEST_NOTE = 300
_STOLEN = re.compile(r"\b(stolen|theft)\b", re.IGNORECASE)
_THING = re.compile(r"\b(unit|battery|tablet|charger)\b(?:\s+of\b)?", re.IGNORECASE)
_ANSWERS: dict[str, Pictures] = {"yes": "yes", "no": "no", "unknown": "unknown"}
_SEEN = frozenset(
    {
        EntryKind.GIVEN_OUT,
        EntryKind.PASSED_ON,
        EntryKind.SAID_BACK,
        EntryKind.TAKEN_BACK,
        EntryKind.CHARGED,
        EntryKind.COUNTED,
    }
)
"""What somebody had the kit in hand for."""


@deed(Deed.LOSE)
def lose(tx: Tx, who: Who, text: str) -> LossNoted | Refused:
    """Note a kit, or one thing of it, as lost: "D", "tablet D: in the hall", "D stolen: the van".

    Bookings are planned without it. A kit without its unit is out of use, too.
    """
    head, _, note = text.partition(":")
    thing = _THING.search(head)
    stolen = bool(_STOLEN.search(text))
    known = kits(tx, who.club)
    wanted = named(_THING.sub(" ", _STOLEN.sub(" ", head)).strip(), known, {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    now = wanted.kits[0]
    what = thing[1].lower() if thing else "kit"
    if any(each.kit == now.kit.id and each.thing == what for each in losses.standing(tx, who.club)):
        return Refused(Reason.ALREADY, {"what": "lost", "labels": (now.kit.label,)})
    return _note(tx, who, now, what, note.strip()[:LONGEST_NOTE], stolen=stolen)


def _note(tx: Tx, who: Who, now: KitNow, thing: str, note: str, *, stolen: bool) -> LossNoted:
    kit = now.kit.id
    item = None if thing == "kit" else _item(tx, who, kit, thing)
    number = losses.add(
        tx,
        who.club,
        kit=kit,
        item=item,
        thing=thing,
        stolen=stolen,
        last_seen=note,
        said_by=who.person,
        now=who.now,
    )
    drafts = [Draft(EntryKind.LOST, kit=kit, item=item, detail=Detail(note=note))]
    if thing == "unit" and now.position.withdrawn is None:
        reason = _without_unit(number)
        drafts.append(Draft(EntryKind.WITHDRAWN, kit=kit, detail=Detail(note=reason)))
    who.append(tx, drafts)
    if thing == "kit" and now.position.out:
        end_where_all_back(tx, who, kits(tx, who.club), {now.position.booking}, {kit})
    swaps, short = plan_anew(tx, who)
    notices.tell_adults(tx, who, notices.LOST, f"loss {number}", {"by": who.name})
    loss = losses.by_number(tx, who.club, number)
    assert loss is not None  # noqa: S101 - it was added above
    return LossNoted(_line(tx, who, loss), swaps, short)


def _item(tx: Tx, who: Who, kit: KitId, thing: str) -> ItemId:
    """Return the kit's thing of this kind; one that nobody has listed is fitted first."""
    listed = [each for each in losses.items_of(tx, who.club, kit) if each.kind == thing]
    gone = {each.item for each in losses.standing(tx, who.club)}
    found = next((each.id for each in listed if each.id not in gone), None)
    if found is not None:
        return found
    made = fitting.add(tx, who.club, ItemKind(thing))
    who.append(tx, [fitting.listed_in(kit, made)])
    return made


def _without_unit(number: int) -> str:
    return f"unit lost, L{number}"


def _line(tx: Tx, who: Who, loss: LossRow) -> LossLine:
    """Return a loss with what the ledger and the list of items know of it."""
    items = [
        each for each in losses.items_of(tx, who.club, loss.kit) if loss.item in (None, each.id)
    ]
    prices = [each.price_cents for each in items if each.price_cents is not None]
    seen = [
        each
        for each in standing(entries_about(tx, who.club, ("kit", loss.kit)))
        if each.kind in _SEEN and each.happened_at <= loss.said_at
    ]
    team = seen[-1].detail.team if seen else None
    return LossLine(
        number=loss.number,
        kit=kits(tx, who.club)[loss.kit].ref,
        thing=loss.thing,
        stolen=loss.stolen,
        last_seen=loss.last_seen,
        team=clubs.teams(tx, who.club).get(team) if team is not None else None,
        seen_at=seen[-1].happened_at if seen else None,
        serials=tuple((each.kind, each.serial) for each in items),
        price_cents=sum(prices) if prices else None,
        unpriced=len(items) - len(prices),
        pictures=_ANSWERS[loss.pictures],
        said_at=loss.said_at,
    )


@look(Deed.LOSE)
def all_lost(tx: Tx, who: Who) -> Losses:
    """Return all that nobody has found yet."""
    return Losses(tuple(_line(tx, who, each) for each in losses.standing(tx, who.club)))


@deed(Deed.LOSE)
def pictures(tx: Tx, who: Who, number: int, text: str) -> PicturesNoted | Refused:
    """Note whether there were pictures of children on a lost tablet."""
    loss = losses.by_number(tx, who.club, number)
    if loss is None or text not in _ANSWERS:
        return Refused(Reason.OUT_OF_DATE)
    losses.change(tx, who.club, number, pictures=text)
    return PicturesNoted(number, kits(tx, who.club)[loss.kit].ref, _ANSWERS[text])


@deed(Deed.LOSE)
def found(tx: Tx, who: Who, number: int) -> LossFound | Refused:
    """Note that something lost is there again, and plan with it."""
    loss = next((each for each in losses.standing(tx, who.club) if each.number == number), None)
    if loss is None:
        return Refused(Reason.OUT_OF_DATE)
    drafts = [Draft(EntryKind.FOUND, kit=loss.kit, item=loss.item)]
    now = kits(tx, who.club)[loss.kit]
    if now.position.withdrawn == _without_unit(number):
        drafts.append(Draft(EntryKind.RESTORED, kit=loss.kit))
    who.append(tx, drafts)
    losses.change(tx, who.club, number, found_at=who.now)
    swaps, _ = plan_anew(tx, who)
    waiting.serve(tx, who)
    return LossFound(number, now.ref, loss.thing, swaps)


def told(tx: Tx, who: Who, row: NoticeRow) -> LossTold | None:
    """Return the loss that another adult noted, unless it is found."""
    number = int(row.subject.rpartition(" ")[2])
    standing_now = losses.standing(tx, who.club)
    loss = next((each for each in standing_now if each.number == number), None)
    return LossTold(_line(tx, who, loss), str(row.facts["by"])) if loss else None
