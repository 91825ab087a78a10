"""Batteries through breaks: what to do before a long one, and which need a charge meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Protocol

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.storage import (
    HALF,
    LONGEST_REST,
    break_from,
    floor_by,
    open_day_by,
    storage_due,
    storage_moments,
    top_up_by,
    top_up_due,
)
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
    levels = {kit: seen[kit].belief.level for kit in kept}
    low = [kit for kit, level in levels.items() if level.middle < HALF[0]]
    curve = of_full_charge(who.settings.charge_minutes)
    ends = found.first.day if found.first else day + 2 * LONGEST_REST
    half = sum(HALF) / 2
    soonest = min(
        (floor_by(seen[kit].belief, day) for kit in kept if kit not in low),
        default=day + LONGEST_REST,
    )
    top_up = open_day_by(calendar, min(soonest, day + LONGEST_REST))
    return BeforeBreak(
        until=found.first.day if found.first else None,
        low=tuple((kept[kit].ref, round(curve.minutes(levels[kit].middle, half))) for kit in low),
        full=tuple(kept[kit].ref for kit, level in levels.items() if level.middle > HALF[1]),
        half=tuple(
            kept[kit].ref for kit, level in levels.items() if HALF[0] <= level.middle <= HALF[1]
        ),
        held=tuple(now.ref for now in fleet.values() if now.position.use is Use.HELD),
        top_up=top_up if day < top_up < ends - DAY else None,
    )


def top_up(tx: Tx, who: Who, row: NoticeRow) -> object:
    """Return the kits that were not charged for so long that they need it by now.

    One whose charge nobody ever noted counts from the day on which the club began.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    began = clubs.club(tx, who.club).created_at
    needing = [
        (now.ref, now.position.charged_at)
        for now in _kept(kits(tx, who.club)).values()
        if top_up_by(now.position.charged_at or began, calendar) <= today
    ]
    return TopUp(tuple(needing)) if needing else None


def _kept(fleet: Mapping[KitId, KitNow]) -> dict[KitId, KitNow]:
    """Return the kits whose batteries are kept alive: also those out of use, none that is held."""
    kept = (Use.IN_USE, Use.WITHDRAWN)
    return {kit: now for kit, now in fleet.items() if now.position.use in kept}
