"""Batteries through breaks: what to do before a long one, and which need a charge meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from clubbot.desk import energy
from clubbot.desk.acting import Who, deed
from clubbot.rules.calendar import DAY, ClubCalendar, days
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.storage import (
    HALF_FULL,
    Break,
    break_at,
    break_from,
    floor_by,
    left_to_store,
    storage_due,
    storage_moments,
    storing_group,
    top_up_by,
    top_up_due,
    visit_by,
)
from clubbot.rules.energy.story import Known
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitId, PersonId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.reminding import Due
from clubbot.rules.results import BeforeBreak, Charged, KitRef, TopUp
from clubbot.store import clubs
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
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
        (BEFORE_BREAK, left_to_store(club.calendar, today, club.row.settings)),
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
    """Return what to do with each battery before the break that begins now.

    On the first open day in it: what is left to do, as far as anybody noted what was done.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    day = calendar.day_of(row.due_at)
    found = break_from(calendar, day)
    again = found is None
    rests = found or break_at(calendar, day)
    fleet = kits(tx, who.club)
    kept = _kept(fleet)
    if rests is None or not kept:
        return None
    seen = energy.beliefs(tx, who, kept, who.now)
    groups: dict[str, list[KitId]] = {}
    for kit in kept:
        groups.setdefault(storing_group(seen[kit].belief, rests), []).append(kit)
    if again and not (groups.get("low") or groups.get("unknown")):
        return None
    refs = {name: tuple(kept[kit].ref for kit in group) for name, group in groups.items()}
    top_up = _visit(who, calendar, rests, kept, seen, groups)
    return BeforeBreak(
        until=rests.first.day if rests.first else None,
        low=tuple(_to_half(who, kept[kit], seen[kit]) for kit in groups.get("low", ())),
        full=refs.get("full", ()),
        half=refs.get("half", ()),
        held=tuple(now.ref for now in fleet.values() if now.position.use is Use.HELD),
        top_up=top_up,
        unknown=refs.get("unknown", ()),
        shut=top_up is not None and not calendar.open_day(top_up),
        again=again,
    )


def _to_half(who: Who, now: KitNow, known: Known) -> tuple[KitRef, int]:
    """Return for how many minutes a kit is charged to be about half full."""
    curve = of_full_charge(who.settings.charge_minutes)
    return now.ref, round(curve.minutes(known.belief.level.low, HALF_FULL))


def too_empty(
    tx: Tx, who: Who, calendar: ClubCalendar, week: Window, wanted: Iterable[KitId]
) -> tuple[tuple[KitRef, int], ...]:
    """Return which of these kits are too empty for a break that begins in a week, with minutes."""
    some = days(calendar.day_of(week.start), calendar.day_of(week.end))
    rests = next((found for day in some if (found := break_from(calendar, day))), None)
    if rests is None:
        return ()
    fleet = kits(tx, who.club)
    seen = energy.beliefs(tx, who, wanted, who.now)
    return tuple(
        _to_half(who, fleet[kit], known)
        for kit, known in seen.items()
        if storing_group(known.belief, rests) == "low"
    )


@deed(Deed.SIGN_CHARGE)
def half_full(tx: Tx, who: Who, chosen: Sequence[KitId]) -> Charged | Refused:
    """Note that these were charged to about half, for a break."""
    kept = _kept(kits(tx, who.club))
    found = [kept[kit].ref for kit in chosen if kit in kept]
    if not found:
        return Refused(Reason.OUT_OF_DATE)
    half = Detail(percent=round(100 * HALF_FULL))
    who.append(tx, [Draft(EntryKind.CHARGED, kit=kit.id, detail=half) for kit in found])
    return Charged(tuple(found), percent=half.percent)


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
    found = [
        visit_by(None, who.now, calendar, rests)
        if kit in now_half
        else visit_by(seen[kit].belief, now.position.charged_at or who.now, calendar, rests)
        for kit, now in kept.items()
    ]
    first = min((day for day in found if day > rests.last.day), default=None)
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
