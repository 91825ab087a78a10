"""Where all parts are, what went missing since when, and what to put on this term's order."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import NamedTuple

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.swept import Swept
from clubbot.desk.trays import StoreRoom, look_round
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitTypeId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.reminding import charge_list
from clubbot.rules.results import (
    BalanceLine,
    MissingLine,
    OrderLine,
    PartsBooks,
    PartsGone,
    PartsOrder,
    PartsOrdered,
)
from clubbot.rules.stock.balance import balance
from clubbot.rules.stock.ordering import Part, Rhythm, advise
from clubbot.store import clubs, stock
from clubbot.store.engine import Tx
from clubbot.store.ledger import Draft
from clubbot.store.notices import NewNotice, NoticeRow

WATCHED = timedelta(days=730)
"""How far back losses say something of the club as it is."""
LATELY = timedelta(days=120)


@look(Deed.PARTS)
def books(tx: Tx, who: Who) -> PartsBooks:
    """Return where all parts are: a line for each that somebody moved or that is on a list."""
    room = look_round(tx, who)
    numbers, fleet = stock.numbers(tx, who.club), stock.fleet(tx, who.club, who.now)
    return PartsBooks(
        tuple(
            BalanceLine(
                kit_type=room.types[line.key[0]],
                part=room.spelled(*line.key),
                bought=line.bought,
                in_trays=line.in_trays,
                kept_built=line.kept_built,
                on_shelf=line.on_shelf,
                lent=line.lent,
                found=line.found,
                at_supplier=line.at_supplier,
                missing=line.missing,
                broken=line.broken,
                ordered=line.ordered,
            )
            for line in balance(room.books, numbers, fleet)
        )
    )


@look(Deed.ORDER_PARTS)
def gone(tx: Tx, who: Who) -> PartsGone:
    """Return what went missing or broke lately: by kit, between which two counts."""
    room = look_round(tx, who)
    since = who.now - LATELY
    lines = [
        MissingLine(
            kit=room.known[loss.kit].ref if loss.kit is not None else None,
            part=room.spelled(*loss.key),
            number=loss.number,
            since=loss.since,
            at=loss.at,
            broken=loss.broken,
        )
        for loss in room.books.losses
        if loss.at > since
    ]
    return PartsGone(tuple(sorted(lines, key=lambda line: line.at, reverse=True)))


@look(Deed.ORDER_PARTS)
def order(tx: Tx, who: Who) -> PartsOrder:
    """Return what to put on this term's order, and why."""
    return _advice(tx, who)[0]


@deed(Deed.ORDER_PARTS)
def ordered(tx: Tx, who: Who, key: str) -> PartsOrdered | PartsOrder | Refused:
    """Note that just this was ordered; where it would be something else by now, show that."""
    shown, drafts = _advice(tx, who)
    if not shown.lines:
        return Refused(Reason.OUT_OF_DATE)
    if shown.key != key:
        return shown
    who.append(tx, drafts)
    return PartsOrdered(shown.lines)


def due(club: Swept, tx: Tx) -> Iterator[NewNotice]:
    """Yield the order that the leaders are owed once a term, with the week's charge list."""
    today = club.calendar.day_of(club.now)
    for week_of in (today - 7 * DAY, today):
        weekly = charge_list(week_of, club.calendar, club.row.settings)
        if club.fresh(weekly) and _is_time(club, tx, weekly.at):
            for person in club.leaders:
                yield club.notice(notices.PARTS_ORDER, "term", weekly, person)


def _is_time(club: Swept, tx: Tx, at: datetime) -> bool:
    """Say whether a term's length has passed since the last order, or since the ledger began.

    Said once for each such length, not every week until somebody orders.
    """
    rhythm = timedelta(days=club.row.settings.parts_order_days)
    base = stock.begun(tx, club.row.id)
    if base is None or at - base < rhythm:
        return False
    base = stock.last_ordered(tx, club.row.id) or base
    return (at - base) // rhythm > max((at - 7 * DAY - base) // rhythm, 0)


def owed(tx: Tx, who: Who, row: NoticeRow) -> PartsOrder | None:
    """Return what to order now; nothing where there are enough of all parts."""
    shown = _advice(tx, who)[0]
    return shown if shown.lines else None


class _Ahead(NamedTuple):
    """What was watched, what lies ahead, and until when."""

    seen: int
    ahead: int
    until: date


def _advice(tx: Tx, who: Who) -> tuple[PartsOrder, list[Draft]]:
    room = look_round(tx, who)
    since = who.now - WATCHED
    span = _ahead(tx, who, since)
    losses = [loss for loss in room.books.losses if loss.at > since and loss.dated]
    chance = who.settings.parts_chance_percent
    rhythm = Rhythm(span.seen, span.ahead, chance / 100)
    every = advise(_parts(room), room.books.stock, losses, _owed(room), rhythm)
    wanted = [each for each in every if each.packs]
    lines = tuple(
        OrderLine(
            kit_type=room.types[each.part.key[0]],
            part=each.part.name,
            packs=each.packs,
            pack=each.part.pack,
            pieces=each.pieces,
            cents=each.cents,
            lost=each.lost,
            there=each.there,
            owed=each.owed,
            base=each.base,
        )
        for each in wanted
    )
    key = hashlib.sha256(repr(lines).encode()).hexdigest()[:12]
    enough = len(every) - len(wanted)
    shown = PartsOrder(key, lines, enough, span.seen, span.ahead, span.until, chance)
    by_type: dict[KitTypeId, list[tuple[str, int]]] = {}
    for each in wanted:
        by_type.setdefault(each.part.key[0], []).append((each.part.name, each.pieces))
    drafts = [
        Draft(
            EntryKind.PARTS_ORDERED,
            kit_type=kit_type,
            detail=Detail(parts=tuple(sorted(parts))),
        )
        for kit_type, parts in by_type.items()
    ]
    return shown, drafts


def _parts(room: StoreRoom) -> list[Part]:
    gone = (Use.LOST, Use.SCRAPPED)
    kits = [now.kit.kit_type for now in room.known.values() if now.position.use not in gone]
    return [
        Part(
            key=(part.kit_type, part.name.casefold()),
            name=part.name,
            number=part.number,
            kits=kits.count(part.kit_type),
            big=part.big,
            pack=part.pack,
            price_cents=part.price_cents,
        )
        for part in room.lists
    ]


def _owed(room: StoreRoom) -> dict[tuple[KitTypeId, str], int]:
    """Return what the trays lack that are to be filled; one at the supplier comes back whole."""
    owed: dict[tuple[KitTypeId, str], int] = {}
    for now in room.known.values():
        if now.position.use in (Use.LOST, Use.SCRAPPED) or now.kit.id in room.claimed:
            continue
        for name, number in now.position.missing:
            key = now.kit.kit_type, name.casefold()
            owed[key] = owed.get(key, 0) + number
    return owed


def _ahead(tx: Tx, who: Who, since: datetime) -> _Ahead:
    """Return how many sessions were watched, and how many lie ahead until the next order's parts.

    Watched are the club's sessions since its ledger begins, or the days on which kits went out,
    where those are more. Where no meeting is planned, one a week is.
    """
    calendar: ClubCalendar = clubs.calendar(tx, who.club, who.zone)
    used = {calendar.day_of(at) for at in stock.moments_of_use(tx, who.club, since)}
    first = max(stock.begun(tx, who.club) or who.now, since)
    held = calendar.sessions(calendar.day_of(first), calendar.day_of(who.now))
    over = sum(first <= session.window.start and session.window.end <= who.now for session in held)
    days = who.settings.parts_order_days + who.settings.parts_delivery_days
    today = calendar.day_of(who.now)
    until = today + timedelta(days=days)
    planned = len(calendar.sessions(today + timedelta(days=1), until))
    return _Ahead(max(len(used), over), planned or -(-days // 7), until)
