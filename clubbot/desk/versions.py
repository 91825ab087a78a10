"""Software versions: noting them, agreeing on one, and who is behind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, time

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.desk.swept import Swept
from clubbot.rules import setup, versions
from clubbot.rules.calendar import DAY
from clubbot.rules.ledger import Detail, EntryKind, Use
from clubbot.rules.model import KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    EventDays,
    EventsNoted,
    OlderVersion,
    VersionAgreed,
    VersionLine,
    VersionNoted,
    Versions,
    VersionsBehind,
)
from clubbot.rules.settings import ClubSettings
from clubbot.rules.version_numbers import older
from clubbot.rules.versions import THINGS, Agree, EventSaid, Noting, On, Standing, Thing
from clubbot.store import bookings, clubs
from clubbot.store import versions as stored
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NewNotice, NoticeRow

_ASK = Refused(Reason.NOT_UNDERSTOOD, {"wanted": "version"})
_MOST_EVENTS = 20


@look(Deed.VERSIONS)
def show(tx: Tx, who: Who) -> Versions:
    """Return the agreed versions, who has which, and what the updates take: whenever asked."""
    lines = _lines(tx, who, _fleet(tx, who))
    return Versions(
        unit=who.settings.unit_version,
        tablet=who.settings.tablet_version,
        lines=lines,
        minutes=_minutes(who, lines),
        events=_events(who, who.settings),
    )


@deed(Deed.VERSIONS)
def say(
    tx: Tx, who: Who, text: str
) -> VersionAgreed | VersionNoted | OlderVersion | EventsNoted | Refused:
    """Note a version ("D F 3.2"), agree on one ("agree unit 3.2"), or name an event's days."""
    said = versions.read(text)
    match said:
        case Agree():
            return _agree(tx, who, said)
        case Noting():
            return _note(tx, who, said)
        case EventSaid():
            return _event(tx, who, said)
    return _ASK


def due(club: Swept) -> Iterator[NewNotice]:
    """Yield what the leaders are owed once a week, days before: who is behind."""
    settings = club.row.settings
    if not (settings.unit_version or settings.tablet_version):
        return
    today = club.calendar.day_of(club.now)
    for week_of in (today - 7 * DAY, today):
        moment = versions.notice_due(week_of, club.calendar, settings)
        if moment is not None and club.fresh(moment):
            for person in club.leaders:
                yield club.notice(notices.VERSIONS, "week", moment, person)


def owed(tx: Tx, who: Who, row: NoticeRow) -> VersionsBehind | None:
    """Return who is behind of the kits that are booked in the days to come; None: nobody.

    Nothing where it has become a day on which nobody is to be told.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    if not versions.may_tell(today, calendar, who.settings):
        return None
    first, last = (calendar.instant(today + n * DAY, time.min) for n in versions.COMING)
    booked: dict[KitId, date] = {}
    for booking in bookings.between(tx, who.club, Window(first, last)):
        for kit in booking.chosen if booking.window.start >= first else ():
            day = calendar.day_of(booking.window.start)
            booked[kit] = min(day, booked.get(kit, day))
    fleet = {kit: now for kit, now in _fleet(tx, who).items() if kit in booked}
    lines = tuple(line for line in _lines(tx, who, fleet) if _to_update(line))
    if not lines:
        return None
    return VersionsBehind(
        unit=who.settings.unit_version,
        tablet=who.settings.tablet_version,
        lines=lines,
        minutes=_minutes(who, lines),
        booked=min(booked[line.kit.id] for line in lines),
    )


def not_today(tx: Tx, who: Who) -> dict[KitId, str]:
    """Return of each kit that is behind what a session's list says of it: it may go out so."""
    if not (who.settings.unit_version or who.settings.tablet_version):
        return {}
    found: dict[KitId, str] = {}
    for line in _lines(tx, who, _fleet(tx, who)):
        if line.standing == Standing.BEHIND and line.kit.id not in found:
            thing: Thing = "unit" if line.thing == "unit" else "tablet"
            which = f"{'' if thing == 'unit' else 'tablet '}version behind"
            agreed = versions.agreed(who.settings, thing)
            found[line.kit.id] = f"{which} ({line.version}, agreed {agreed}): not today"
    return found


def _fleet(tx: Tx, who: Who) -> dict[KitId, KitNow]:
    gone = (Use.LOST, Use.SCRAPPED)
    return {k: now for k, now in kits(tx, who.club).items() if now.position.use not in gone}


def _lines(tx: Tx, who: Who, fleet: Mapping[KitId, KitNow]) -> tuple[VersionLine, ...]:
    on = stored.on(tx, who.club, fleet)
    found: list[VersionLine] = []
    for thing in THINGS:
        agreed = versions.agreed(who.settings, thing)
        for kit, now in fleet.items():
            version = on[kit, thing].version
            stands = str(versions.standing(version, agreed)) if agreed else ""
            found.append(VersionLine(now.ref, thing, version, stands))
    return tuple(found)


def _to_update(line: VersionLine) -> bool:
    return line.standing in versions.TO_UPDATE


def _minutes(who: Who, lines: tuple[VersionLine, ...]) -> int:
    return who.settings.update_minutes * sum(map(_to_update, lines))


def _agree(tx: Tx, who: Who, said: Agree) -> VersionAgreed:
    field = {f"{said.thing}_version": said.version}
    settings = replace(who.settings, **field)  # type: ignore[arg-type]
    clubs.change(tx, who.club, settings=settings.changed())
    anew = replace(who, settings=settings)
    lines = tuple(line for line in _lines(tx, anew, _fleet(tx, who)) if line.thing == said.thing)
    behind = tuple(line.kit for line in lines if _to_update(line))
    return VersionAgreed(said.thing, said.version, behind, _minutes(anew, lines))


def _note(tx: Tx, who: Who, said: Noting) -> VersionNoted | OlderVersion | Refused:
    fleet = _fleet(tx, who)
    wanted = named(said.kits, fleet, {}, but=True)
    if isinstance(wanted, Refused):
        return wanted
    chosen = wanted.among(fleet.values()) if wanted.all else wanted.kits
    # "1 2 3" may be three kits and no version at all.
    if not chosen or any(now.kit.label == said.version for now in fleet.values()):
        return _ASK
    on = stored.on(tx, who.club, [now.kit.id for now in chosen])
    there: dict[KitId, On] = {now.kit.id: on[now.kit.id, said.thing] for now in chosen}
    fresh = [now for now in chosen if there[now.kit.id].version != said.version]
    if not fresh:
        return Refused(Reason.ALREADY, {"labels": tuple(now.kit.label for now in chosen)})
    back = [now for now in fresh if older(said.version, there[now.kit.id].version)]
    if back and not said.sure:
        newer = tuple((now.ref, there[now.kit.id].version) for now in back)
        thing = "" if said.thing == "unit" else "tablet "
        typed = f"{thing}{said.kits} {said.version} yes"
        return OlderVersion(said.thing, said.version, newer, typed)
    who.append(tx, [_draft(now, there[now.kit.id], said, now in back) for now in fresh])
    return VersionNoted(
        said.thing, said.version, tuple(now.ref for now in fresh), tuple(now.ref for now in back)
    )


def _draft(now: KitNow, there: On, said: Noting, back: bool) -> Draft:
    on_kit = there.item is None
    detail = Detail(note=said.version, own=on_kit and said.thing == "tablet")
    kind = EntryKind.WENT_BACK if back else EntryKind.VERSION
    return Draft(kind, kit=now.kit.id, item=there.item, detail=detail)


def _event(tx: Tx, who: Who, said: EventSaid) -> EventsNoted | Refused:
    today = who.now.astimezone(who.zone).date()
    known = [each for each in versions.events(who.settings) if each.last >= today]
    if said.days:
        span = setup.read_days(said.days, today, who.zone)
        if span is None or span[1] < today or len(known) >= _MOST_EVENTS:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "event"})
        known = [*known, versions.Event(span[0], span[1], said.why)]
    else:
        known = []
    settings = replace(who.settings, events=tuple(each.stored() for each in known))
    clubs.change(tx, who.club, settings=settings.changed())
    return EventsNoted(_events(who, settings))


def _events(who: Who, settings: ClubSettings) -> tuple[EventDays, ...]:
    today = who.now.astimezone(who.zone).date()
    known = versions.events(settings)
    return tuple(EventDays(e.first, e.last, e.why) for e in known if e.last >= today)
