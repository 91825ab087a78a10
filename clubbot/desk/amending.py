"""What a walk through the store room came to, and the entries that put the books right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from clubbot.desk.acting import Who
from clubbot.desk.outcomes import end_where_all_back
from clubbot.rules import stocktaking as rules
from clubbot.rules.correcting import needed
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitId
from clubbot.rules.permissions import may
from clubbot.rules.results import KitRef, StockDifference, StockEnd
from clubbot.rules.stocktaking import Amends, Looked
from clubbot.store import clubs, losses
from clubbot.store import stocktaking as walks
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.stocktaking import Walk


@dataclass(frozen=True, slots=True)
class Round:
    """A walk as it stands: its kits in order, and what was seen that still holds."""

    walk: Walk
    known: Mapping[KitId, KitNow]
    places: Mapping[KitId, str]
    seen: Mapping[KitId, Looked]

    @property
    def unseen(self) -> tuple[KitRef, ...]:
        return tuple(self.known[kit].ref for kit in self.places if kit not in self.seen)


def round_of(tx: Tx, who: Who, walk: Walk) -> Round:
    """Return a walk as it stands; what moved since it was looked at hasn't been seen."""
    known = kits(tx, who.club)
    places = {
        kit: place
        for kit, place in walks.places(tx, who.club).items()
        if known[kit].position.use is not Use.SCRAPPED
    }
    seen = {
        kit: looked
        for kit, looked in walks.seen(tx, who.club, walk.id).items()
        if kit in places and not rules.overtaken(known[kit].position, looked)
    }
    return Round(walk, known, places, seen)


def end_of(tx: Tx, who: Who, round_: Round) -> StockEnd:
    """Return what a walk came to so far, and keep what is shown for the yes."""
    shown = tuple(shown_as(tx, who, round_, each) for each in amends_of(round_))
    walks.change(tx, who.club, shown=repr((shown, round_.unseen)))
    return StockEnd(shown, round_.unseen, len(round_.places))


def amends_of(round_: Round) -> list[Amends]:
    """Return what is to be put right, in the order of the walk."""
    found = (
        rules.amends(round_.known[kit].position, round_.seen[kit])
        for kit in round_.places
        if kit in round_.seen
    )
    return [each for each in found if each is not None]


def shown_as(tx: Tx, who: Who, round_: Round, each: Amends) -> StockDifference:
    """Return a difference as people see it, and whether this person may put it right."""
    now = round_.known[each.kit]
    teams = clubs.teams(tx, who.club)
    by_kind = dict(each.entries)
    return StockDifference(
        kit=now.ref,
        seen=each.seen,
        booked=each.booked,
        team=teams.get(now.position.team) if now.position.team else None,
        what=tuple(str(kind) for kind, _ in each.entries),
        short=by_kind.get(EntryKind.SHORT, ()),
        back=by_kind.get(EntryKind.PARTS_IN, ()),
        left=any(not may(who.role, needed(kind)) for kind, _ in each.entries),
    )


def write(tx: Tx, who: Who, round_: Round, found: list[Amends]) -> None:
    """Put the books right, and let bookings and losses follow."""
    lost = losses.standing(tx, who.club)
    who.append(
        tx,
        [
            Draft(kind, kit=each.kit, detail=Detail(note=_note(kind), parts=parts_))
            for each in found
            for kind, parts_ in each.entries
        ],
    )
    back = {each.kit for each in found for kind, _ in each.entries if kind is EntryKind.TAKEN_BACK}
    given = {round_.known[kit].position.booking for kit in back}
    end_where_all_back(tx, who, kits(tx, who.club), given, back)
    there = {each.kit for each in found for kind, _ in each.entries if kind is EntryKind.FOUND}
    for loss in lost:
        if loss.kit in there and loss.thing == "kit":
            losses.change(tx, who.club, loss.number, found_at=who.now)


def _note(kind: EntryKind) -> str:
    return rules.NOT_FOUND if kind is EntryKind.WITHDRAWN else ""
