"""Handing a club over: the paper for whoever takes it on, and reminding an only leader."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

from clubbot.desk import absence, energy, notices
from clubbot.desk.acting import Who, look
from clubbot.desk.club_view import club_view
from clubbot.desk.fleet import picture
from clubbot.desk.outcomes import out_lines
from clubbot.desk.swept import Swept
from clubbot.desk.trays import look_round
from clubbot.rules.calendar import DAY
from clubbot.rules.model import KitId, Role, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.reminding import only_leader
from clubbot.rules.results import (
    FaultLine,
    HandoverPaper,
    OnlyLeader,
    OpenClaim,
    Quirks,
)
from clubbot.rules.stock.balance import balance
from clubbot.store import clubs, faults, people, stock, succession
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.notices import NewNotice, NoticeRow
from clubbot.store.people import PersonRow

_A_YEAR = timedelta(days=365)
_WEAK_SHARE = 0.75
"""A battery that gives less than this share of the usual run time counts as worn; common practice,
no source."""
_LIKELY = 0.5


@look(Deed.HAND_OVER)
def paper(tx: Tx, who: Who) -> HandoverPaper:
    """Return all that whoever takes the club on needs to know."""
    everyone = people.people(tx, who.club)
    seen = picture(tx, who, Window(who.now, who.now + DAY))
    lines = faults.still_open(tx, who.club)
    by_id = {line.id: line for line in lines}
    waiting = succession.open_claims(tx, who.club)
    return HandoverPaper(
        club=club_view(tx, who),
        day=who.now.astimezone(who.zone).date(),
        by=who.name,
        leaders=_names(everyone, Role.LEADER),
        co_leaders=_names(everyone, Role.CO_LEADER),
        helpers=_names(everyone, Role.HELPER),
        students=len(_names(everyone, Role.STUDENT)),
        door_phones=len(_names(everyone, Role.DOOR)),
        away=absence.coming(tx, who),
        groups=tuple(succession.groups(tx, who.club)),
        keys=who.settings.keys_at,
        runs_on=who.settings.runs_on,
        account_of=who.settings.account_of,
        hand_in=who.settings.hand_in,
        claims=tuple(
            OpenClaim(by_id[fault], sent, promised)
            for fault, sent, promised in waiting
            if fault in by_id
        ),
        orders=_on_order(tx, who),
        ordered_at=stock.last_ordered(tx, who.club),
        quirks=tuple(_quirks(tx, who, seen.kits, lines)),
        out=out_lines(tx, who, seen.kits),
        kept=tuple(seen.shown(each) for each in seen.bookings if each.kind == "keep"),
    )


def _names(everyone: Sequence[PersonRow], role: Role) -> tuple[str, ...]:
    return tuple(row.name for row in everyone if row.role is role)


def _on_order(tx: Tx, who: Who) -> tuple[tuple[str, int], ...]:
    """Return the parts that were ordered and haven't come yet, with how many."""
    room = look_round(tx, who)
    numbers, fleet = stock.numbers(tx, who.club), stock.fleet(tx, who.club, who.now)
    return tuple(
        (room.spelled(*line.key), line.ordered)
        for line in balance(room.books, numbers, fleet)
        if line.ordered
    )


def _quirks(
    tx: Tx, who: Who, known: Mapping[KitId, KitNow], lines: Sequence[FaultLine]
) -> Iterator[Quirks]:
    from clubbot.rules.energy.belief import chance_worn

    again = succession.repeated(tx, who.club, who.now - _A_YEAR)
    batteries = energy.beliefs(tx, who, known, who.now)
    usual = clubs.run_minutes(tx, who.club)
    for kit, now in known.items():
        battery, position = batteries[kit], now.position
        need = _WEAK_SHARE * usual[now.kit.kit_type]
        worn = chance_worn(battery.belief, need) if battery.told else 0.0
        odd = Quirks(
            kit=now.ref,
            faults=tuple(line for line in lines if line.kit and line.kit.id == kit),
            again=tuple(again.get(kit, ())),
            held=position.held,
            withdrawn=position.withdrawn,
            missing=tuple(position.missing),
            worn=round(100 * worn) if worn >= _LIKELY else 0,
            flat_starts=battery.flat_starts if battery.flat_starts > 1 else 0,
            lost=position.lost is not None,
        )
        if odd != Quirks(now.ref, (), (), None, None, (), 0, 0, lost=False):
            yield odd


# -- the only leader ------------------------------------------------------------------------------


def due(club: Swept) -> Iterator[NewNotice]:
    """Yield the reminder that an only leader is owed, a few times a year."""
    if len(club.leaders) == 1:
        today = club.calendar.day_of(club.now)
        at = only_leader(today, club.calendar, club.row.settings)
        if club.row.created_at + _SETTLED < at.at and club.fresh(at):
            yield club.notice(notices.ALONE, "leader", at, club.leaders[0])


_SETTLED = timedelta(days=30)
"""A club that has just begun has other things to think of."""


def told(tx: Tx, who: Who, row: NoticeRow) -> OnlyLeader | None:
    """Return the reminder, unless there is another leader by now."""
    roles = [each.role for each in people.people(tx, who.club)]
    if roles.count(Role.LEADER) != 1:
        return None
    return OnlyLeader(sum(role.adult for role in roles) - 1)
