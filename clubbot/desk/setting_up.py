"""The answers of the set-up, written down one by one, and the club as it then stands."""

from __future__ import annotations

from dataclasses import replace

from clubbot.desk.acting import Who
from clubbot.rules import setup
from clubbot.rules.results import (
    ClubView,
    MeetingView,
    SetUpStep,
)
from clubbot.rules.settings import spelled
from clubbot.rules.tidy import tidy
from clubbot.store import clubs, kits, people
from clubbot.store.engine import Tx


def write_answer(tx: Tx, who: Who, step: SetUpStep, text: str) -> str:
    """Write one answer of the set-up; return what is wrong with it, or nothing."""
    match step:
        case "name":
            name = tidy(text)
            if not name or len(name) > 80:
                return "a name of 1 to 80 characters"
            clubs.change(tx, who.club, name=name)
        case "zone":
            zone = setup.read_zone(text)
            if not isinstance(zone, str):
                near = f"; did you mean {' or '.join(zone)}?" if zone else ""
                return f"a city that has a time zone of its own, such as Dublin or Chicago{near}"
            settings = replace(who.settings, zone_set=True).changed()
            clubs.change(tx, who.club, zone=zone, settings=settings)
        case "kits":
            return _add_kits(tx, who, text)
        case "meetings":
            return _set_meetings(tx, who, text)
        case "teams":
            return _add_teams(tx, who, text)
        case "done":
            return "nothing more"
    return ""


def _add_kits(tx: Tx, who: Who, text: str) -> str:
    labels = setup.read_new_labels(text)
    if isinstance(labels, str):
        return labels
    known = {now.kit.label.casefold() for now in kits.kits(tx, who.club).values()}
    new = [label for label in labels if label.casefold() not in known]
    if len(known) + len(new) > setup.MOST_KITS:
        return f"at most {setup.MOST_KITS} kits in all"
    kits.add(tx, who.club, next(iter(clubs.kit_types(tx, who.club))), new)
    return ""


def _set_meetings(tx: Tx, who: Who, text: str) -> str:
    meetings = setup.read_meetings(text)
    if isinstance(meetings, str):
        return f"a day with times, such as Fri 15:30-17:00; I can't read {meetings[:60]}"
    clubs.remove_meetings(tx, who.club)
    for each in meetings:
        clubs.add_meeting(tx, who.club, each.weekday, each.starts, each.ends, who.person, each.name)
    return ""


def _add_teams(tx: Tx, who: Who, text: str) -> str:
    names = setup.read_names(text)
    if not names:
        return "at least one name"
    known = {ref.name.casefold() for ref in clubs.teams(tx, who.club).values()}
    for name in names:
        if name.casefold() not in known:
            clubs.add_team(tx, who.club, name)
            known.add(name.casefold())
    return ""


def club_view(tx: Tx, who: Who) -> ClubView:
    """Return the club as it is set up."""
    row = clubs.club(tx, who.club)
    calendar = clubs.calendar(tx, who.club, row.zone)
    known = kits.kits(tx, who.club)
    everyone = people.people(tx, who.club)
    names = {person.id: person.name for person in everyone}
    return ClubView(
        name=row.name,
        zone=row.zone.key,
        zone_set=row.settings.zone_set,
        kits=tuple(now.ref for now in known.values()),
        misread=setup.misread([now.kit.label for now in known.values()]),
        meetings=tuple(
            MeetingView(
                each.id,
                each.name,
                each.weekday,
                each.starts.isoformat("minutes"),
                each.ends.isoformat("minutes"),
                names.get(each.adult) if each.adult else None,
            )
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
    )
