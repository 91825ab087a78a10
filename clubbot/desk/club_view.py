"""The club as it is set up, in one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, time

from clubbot.desk.acting import Who
from clubbot.rules import setup
from clubbot.rules.feeds import read_address
from clubbot.rules.model import ItemKind, PersonId
from clubbot.rules.results import ClubView, MeetingView
from clubbot.rules.settings import ClubSettings, spelled
from clubbot.store import clubs, equipping, feeds, fitting, kits, parts, people
from clubbot.store.engine import Tx


def club_view(tx: Tx, who: Who) -> ClubView:
    """Return the club as it is set up."""
    row = clubs.club(tx, who.club)
    calendar = clubs.calendar(tx, who.club, row.zone)
    known = kits.kits(tx, who.club)
    everyone = people.people(tx, who.club)
    names = {person.id: person.name for person in everyone}
    shown = ClubView(
        name=row.name,
        zone=row.zone.key,
        zone_set=row.settings.zone_set,
        kits=tuple(now.ref for now in known.values()),
        misread=setup.misread([now.kit.label for now in known.values()]),
        meetings=tuple(
            _weekly(each.id, each.name, each.weekday, each.starts, each.ends, each.adult, names)
            for each in calendar.meetings
        ),
        teams=tuple(clubs.teams(tx, who.club).values()),
        closures=tuple(
            (each.first_day, each.last_day, each.why)
            for each in calendar.closures
            if each.last_day >= calendar.day_of(who.now)
        ),
        settings=spelled(row.settings),
        resources=tuple(clubs.resources(tx, who.club).values()),
        people=len(everyone),
        group=clubs.group_of(tx, who.club),
        hours=tuple(
            _weekly(0, "", each.weekday, each.starts, each.ends, None, names)
            for each in calendar.hours
        ),
        adults=sum(person.role.adult for person in everyone),
    )
    return _equipped(tx, who, _agreed(row.settings, shown))


def _agreed(settings: ClubSettings, shown: ClubView) -> ClubView:
    confirmed = settings.students_confirmed_on
    return replace(
        shown,
        accounts=settings.accounts,
        confirmed_on=date.fromisoformat(confirmed) if confirmed else None,
        bays=settings.charge_bays or 0,
        quiet=(settings.quiet_from.isoformat("minutes"), settings.quiet_to.isoformat("minutes")),
        emergency=settings.emergency_number,
        contact=settings.contact,
    )


def _equipped(tx: Tx, who: Who, shown: ClubView) -> ClubView:
    kit_type, called = next(iter(clubs.kit_types(tx, who.club).items()))
    tablets = fitting.things(tx, who.club, ItemKind.TABLET)
    stands = feeds.feed(tx, who.club)
    address = read_address(stands.url) if stands else None
    return replace(
        shown,
        kit_type=called,
        run_minutes=clubs.run_minutes(tx, who.club)[kit_type],
        parts=tuple(parts.contents(tx, who.club, kit_type)),
        tablets=sum(each.kit is not None for each in tablets),
        chargers=tuple(equipping.chargers(tx, who.club)),
        feed=address.host if address else "",
    )


def _weekly(
    number: int,
    name: str,
    weekday: int,
    starts: time,
    ends: time,
    adult: PersonId | None,
    names: Mapping[PersonId, str],
) -> MeetingView:
    runs = names.get(adult) if adult else None
    return MeetingView(
        number, name, weekday, starts.isoformat("minutes"), ends.isoformat("minutes"), runs
    )
