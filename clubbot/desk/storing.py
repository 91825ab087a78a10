"""Batteries through breaks: what to do before a long one, and which need a charge meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.storage import (
    HALF,
    Break,
    break_at,
    break_from,
    floor_by,
    storage_due,
    storage_moments,
    storing_group,
    top_up_by,
    top_up_due,
    visit_by,
)
from clubbot.rules.energy.story import Known
from clubbot.rules.ledger import Use
from clubbot.rules.model import KitId, PersonId, Window
from clubbot.rules.reminding import Due
from clubbot.rules.results import BeforeBreak, TopUp
from clubbot.store import clubs
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.notices import NewNotice, NoticeRow

BEFORE_BREAK = "before a break"
TOP_UP = "top up"


class Swept(Protocol):
    """What the sweep knows of a club."""

    @property
    def row(self) -> ClubRow: ...
    @property
    def now(self) -> datetime: ...
    @property
    def calendar(self) -> ClubCalendar: ...
    @property
    def kits(self) -> Mapping[KitId, KitNow]: ...
    @property
    def adults(self) -> list[PersonId]: ...
    def fresh(self, due: Due | None) -> bool: ...
    def notice(self, kind: str, subject: str, due: Due, person: PersonId) -> NewNotice: ...


def due(club: Swept) -> Iterator[NewNotice]:
    """Yield what the adults are owed about batteries at rest."""
    began = club.row.created_at
    charges = [now.position.charged_at or began for now in _kept(club.kits).values()]
    today = club.calendar.day_of(club.now)
    found = (
        (BEFORE_BREAK, storage_due(club.calendar, today)),
        (TOP_UP, top_up_due(charges, club.calendar, club.row.settings, club.now)),
    )
    for kind, moment in found:
        if moment is not None and club.fresh(moment):
            for person in club.adults:
                yield club.notice(kind, "batteries", moment, person)


def moments(span: Window, calendar: ClubCalendar) -> list[datetime]:
    """Return the moments of a span at which a long break may have something due."""
    return storage_moments(calendar, calendar.day_of(span.start), calendar.day_of(span.end))


def before_break(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Return what to do with each battery before the break that begins now."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    day = calendar.day_of(row.due_at)
    found = break_from(calendar, day)
    fleet = kits(tx, who.club)
    kept = _kept(fleet)
    if found is None or not kept:
        return None
    seen = energy.beliefs(tx, who, kept, who.now)
    curve = of_full_charge(who.settings.charge_minutes)
    levels = {kit: seen[kit].belief.level for kit in kept}
    groups: dict[str, list[KitId]] = {}
    for kit in kept:
        groups.setdefault(storing_group(seen[kit].belief, found), []).append(kit)
    refs = {name: tuple(kept[kit].ref for kit in group) for name, group in groups.items()}
    top_up = _visit(who, calendar, found, kept, seen, groups)
    half = sum(HALF) / 2
    return BeforeBreak(
        until=found.first.day if found.first else None,
        low=tuple(
            (kept[kit].ref, round(curve.minutes(levels[kit].low, half)))
            for kit in groups.get("low", ())
        ),
        full=refs.get("full", ()),
        half=refs.get("half", ()),
        held=tuple(now.ref for now in fleet.values() if now.position.use is Use.HELD),
        top_up=top_up,
        unknown=refs.get("unknown", ()),
        shut=top_up is not None and not calendar.open_day(top_up),
    )


def _visit(
    who: Who,
    calendar: ClubCalendar,
    rests: Break,
    kept: Mapping[KitId, KitNow],
    seen: Mapping[KitId, Known],
    groups: Mapping[str, Sequence[KitId]],
) -> date | None:
    """Return by when somebody must come in the break; what is too empty is charged now."""
    now_half = {*groups.get("low", ()), *groups.get("unknown", ())}
    days = [
        visit_by(None, who.now, calendar, rests)
        if kit in now_half
        else visit_by(seen[kit].belief, now.position.charged_at or who.now, calendar, rests)
        for kit, now in kept.items()
    ]
    first = min((day for day in days if day > rests.last.day), default=None)
    over = rests.first is not None and first is not None and first >= rests.first.day
    return None if over else first


def top_up(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Return the kits that were not charged for so long that they need it by now.

    One whose charge nobody ever noted counts from the day on which the club began. In a long break
    those are told as well that need it before its end, so that one visit will do.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    began = clubs.club(tx, who.club).created_at
    kept = _kept(kits(tx, who.club))
    by = {kit: top_up_by(now.position.charged_at or began, calendar) for kit, now in kept.items()}
    rests = break_at(calendar, today)
    if rests is not None:
        seen = energy.beliefs(tx, who, kept, who.now)
        floors = {kit: floor_by(seen[kit].belief, today) for kit in kept}
        by = {kit: today if floors[kit] < day else day for kit, day in by.items()}
    if min(by.values(), default=today + DAY) > today:
        return None
    last = rests.first.day - DAY if rests is not None and rests.first is not None else today
    return TopUp(
        tuple((now.ref, now.position.charged_at) for kit, now in kept.items() if by[kit] <= last)
    )


def _kept(fleet: Mapping[KitId, KitNow]) -> dict[KitId, KitNow]:
    """Return the kits whose batteries are kept alive: also those out of use, none that is held."""
    kept = (Use.IN_USE, Use.WITHDRAWN)
    return {kit: now for kit, now in fleet.items() if now.position.use in kept}
