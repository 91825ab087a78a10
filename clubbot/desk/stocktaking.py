"""A walk through the store room, kit by kit, that anybody who may can go on with."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from clubbot.desk import waiting
from clubbot.desk.acting import Answer, Asking, Who, deed, find_who, stranger_view, view
from clubbot.desk.amending import amends_of, end_of, round_of, shown_as, write
from clubbot.desk.replanning import plan_anew
from clubbot.rules import stocktaking as rules
from clubbot.rules.counting import listed, tapped
from clubbot.rules.ledger import Parts
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    StockEnd,
    StockKit,
    StockMessageKept,
    StockParts,
    StockStands,
    StockWritten,
)
from clubbot.rules.stocktaking import Looked, Seen
from clubbot.store import clubs, parts, people
from clubbot.store import stocktaking as walks
from clubbot.store.engine import Store, Tx
from clubbot.store.kits import kits
from clubbot.store.stocktaking import Walk

AT_ONCE = timedelta(hours=1)
"""Within this one's own walk goes on without a question."""
Step = StockKit | StockEnd | StockStands | Refused


# -- begin, go on, take over ----------------------------------------------------------------------


@deed(Deed.TAKE_STOCK)
def stocktake(tx: Tx, who: Who) -> Step:
    """Begin a walk or go on with one's own; somebody else's is taken over by one tap."""
    walk = walks.running(tx, who.club)
    if walk is None:
        return _begin(tx, who)
    if walk.person == who.person and who.now - walk.went_on_at < AT_ONCE:
        return _go_on(tx, who, walk)
    return _stands(tx, who, walk)


@deed(Deed.TAKE_STOCK)
def stocktake_anew(tx: Tx, who: Who) -> Step:
    """Begin a walk; what was seen on another that wasn't finished is forgotten."""
    return _begin(tx, who)


def _begin(tx: Tx, who: Who) -> Step:
    before = walks.running(tx, who.club)
    walks.begin(tx, who.club, who.person, who.now)
    walk = walks.running(tx, who.club)
    assert walk is not None  # noqa: S101 - it was begun above
    message = before.message if before else None
    return _with_message(_next(tx, who, walk, None), message)


@deed(Deed.TAKE_STOCK)
def stocktake_go_on(tx: Tx, who: Who) -> Step:
    """Go on where a walk stands, whoever was at it."""
    walk = walks.running(tx, who.club)
    return Refused(Reason.OUT_OF_DATE) if walk is None else _go_on(tx, who, walk)


def _go_on(tx: Tx, who: Who, walk: Walk) -> Step:
    walks.change(
        tx, who.club, person_id=who.person, went_on_at=who.now, chat_id=None, message_id=None
    )
    return _with_message(_next(tx, who, replace(walk, person=who.person), None), walk.message)


def _with_message(step: Step, message: tuple[int, int] | None) -> Step:
    return replace(step, before=message) if isinstance(step, StockKit | StockEnd) else step


def _stands(tx: Tx, who: Who, walk: Walk) -> StockStands:
    names = {row.id: row.name for row in people.people(tx, who.club)}
    round_ = round_of(tx, who, walk)
    by = names.get(walk.person, "") if walk.person is not None else ""
    mine = walk.person == who.person
    return StockStands(by, mine, walk.went_on_at, len(round_.seen), len(round_.places))


def keep_stock_message(store: Store, asking: Asking, message: int) -> Answer:
    """Note that this message of the bot's is the one that the walk goes on in.

    The update that it answers has had its effect; this is about the answer.
    """
    with store.write() as tx:
        who = find_who(tx, asking)
        if who is None:
            return Answer(Refused(Reason.NO_SUCH_CLUB), stranger_view(asking))
        clubs.lock(tx, who.club)
        walk = walks.running(tx, who.club)
        if walk is not None and walk.person == who.person:
            walks.change(tx, who.club, chat_id=asking.chat_id, message_id=message)
        return Answer(StockMessageKept(), view(who))


# -- kit by kit -----------------------------------------------------------------------------------


def _mine(tx: Tx, who: Who) -> Walk | StockStands | Refused:
    """Return the walk if this person is at it, and note that it goes on."""
    walk = walks.running(tx, who.club)
    if walk is None:
        return Refused(Reason.OUT_OF_DATE)
    if walk.person != who.person:
        return _stands(tx, who, walk)
    walks.change(tx, who.club, went_on_at=who.now)
    return walk


def _next(tx: Tx, who: Who, walk: Walk, after: KitId | None) -> StockKit | StockEnd:
    """Return the next kit that nobody has looked at, or the end where there is none."""
    round_ = round_of(tx, who, walk)
    kit = rules.next_to_see(round_.places, round_.seen, after)
    if kit is None:
        return end_of(tx, who, round_)
    now = round_.known[kit]
    position = now.position
    team = clubs.teams(tx, who.club).get(position.team) if position.team else None
    return StockKit(
        kit=now.ref,
        done=len(round_.seen),
        total=len(round_.places),
        booked=rules.booked(position),
        place=round_.places[kit],
        team=team,
        unusable=position.held or position.withdrawn or "",
        missing=position.missing,
    )


@deed(Deed.TAKE_STOCK)
def stock_seen(tx: Tx, who: Who, kit: KitId, seen: Seen) -> Step:
    """Note that a kit is there, or isn't, and go on to the next."""
    return _noted(tx, who, kit, seen, None)


def _noted(tx: Tx, who: Who, kit: KitId, seen: Seen, missing: Parts | None) -> Step:
    walk = _mine(tx, who)
    if not isinstance(walk, Walk):
        return walk
    now = kits(tx, who.club).get(kit)
    if now is None:
        return Refused(Reason.OUT_OF_DATE)
    gone = now.position.missing if missing is None else missing
    looked = Looked(kit, seen, rules.booked(now.position), gone)
    walks.note(tx, who.club, walk.id, looked)
    return _next(tx, who, walk, kit)


@deed(Deed.TAKE_STOCK)
def stock_later(tx: Tx, who: Who, kit: KitId) -> Step:
    """Leave a kit for the end of the round."""
    walk = _mine(tx, who)
    return _next(tx, who, walk, kit) if isinstance(walk, Walk) else walk


@deed(Deed.TAKE_STOCK)
def stock_again(tx: Tx, who: Who, kit: KitId) -> Step:
    """Look at a kit once more."""
    walk = _mine(tx, who)
    if not isinstance(walk, Walk):
        return walk
    walks.forget(tx, who.club, walk.id, kit)
    order = list(walks.places(tx, who.club))
    before = order[order.index(kit) - 1] if kit in order else None
    return _next(tx, who, walk, before)


@deed(Deed.TAKE_STOCK)
def stock_parts(tx: Tx, who: Who, kit: KitId, place: int | None) -> StockParts | Step:
    """Show what belongs into a tray, with one more of the tapped part missing."""
    walk = _mine(tx, who)
    if not isinstance(walk, Walk):
        return walk
    now = kits(tx, who.club).get(kit)
    if now is None:
        return Refused(Reason.OUT_OF_DATE)
    noted = walks.seen(tx, who.club, walk.id).get(kit)
    missing = noted.missing if noted is not None and place is not None else now.position.missing
    contents = parts.contents(tx, who.club, now.kit.kit_type) or _WHOLE
    lines = listed(contents, missing)
    if place is not None:
        if not 0 <= place < len(lines):
            return Refused(Reason.OUT_OF_DATE)
        missing = tapped(missing, lines[place][0], lines[place][1])
    looked = Looked(kit, "differs", rules.booked(now.position), missing)
    walks.note(tx, who.club, walk.id, looked)
    return StockParts(now.ref, listed(contents, missing))


_WHOLE = [("unit", 1), ("tablet", 1), ("tray", 1)]
"""What every kit has, where its type has no contents list."""


@deed(Deed.TAKE_STOCK)
def stock_parts_done(tx: Tx, who: Who, kit: KitId) -> Step:
    """Go on after what differs in a kit was tapped."""
    walk = _mine(tx, who)
    if not isinstance(walk, Walk):
        return walk
    noted = walks.seen(tx, who.club, walk.id).get(kit)
    if noted is None:
        return Refused(Reason.OUT_OF_DATE)
    return _next(tx, who, walk, kit)


# -- the end --------------------------------------------------------------------------------------


@deed(Deed.TAKE_STOCK)
def stock_end(tx: Tx, who: Who) -> Step:
    """Show what the walk came to so far, for one yes."""
    walk = _mine(tx, who)
    return end_of(tx, who, round_of(tx, who, walk)) if isinstance(walk, Walk) else walk


@deed(Deed.TAKE_STOCK)
def stock_put_right(tx: Tx, who: Who) -> StockWritten | Step:
    """Write all that was shown, if it still comes to the same; else show it as it is now."""
    walk = _mine(tx, who)
    if not isinstance(walk, Walk):
        return walk
    round_ = round_of(tx, who, walk)
    found = amends_of(round_)
    shown = tuple(shown_as(tx, who, round_, each) for each in found)
    if repr((shown, round_.unseen)) != walk.shown:
        return end_of(tx, who, round_)
    write(tx, who, round_, [each for each, line in zip(found, shown, strict=True) if not line.left])
    walks.end(tx, who.club)
    swaps, _ = plan_anew(tx, who) if any(line.what for line in shown) else ((), ())
    waiting.serve(tx, who)
    return StockWritten(shown, round_.unseen, swaps)
