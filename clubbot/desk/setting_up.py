"""The answers of the set-up, written down one by one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from clubbot.desk import equipping
from clubbot.desk.acting import Who
from clubbot.desk.equipping import Written
from clubbot.rules import setup, setup_answers
from clubbot.rules.feeds import read_address
from clubbot.rules.model import PersonId, Role
from clubbot.rules.results import SetUpStep
from clubbot.rules.tidy import tidy
from clubbot.store import clubs, feeds, people
from clubbot.store.engine import Tx

_LONGEST_CONTACT = 60


def write_answer(tx: Tx, who: Who, step: SetUpStep, text: str) -> Written:
    """Write one answer of the set-up; return what is wrong with it, or what is still to be said."""
    return _WRITERS[step](tx, who, text)


def _name(tx: Tx, who: Who, text: str) -> Written:
    name = tidy(text)
    if not name or len(name) > 80:
        return Written("a name of 1 to 80 characters")
    clubs.change(tx, who.club, name=name)
    return Written()


def _zone(tx: Tx, who: Who, text: str) -> Written:
    zone = setup.read_zone(text)
    if not isinstance(zone, str):
        of_country = setup_answers.zones_of_country(text)
        if len(of_country) != 1:
            near = tuple(zone or of_country[:6])
            meant = f"; did you mean {' or '.join(near)}?" if near else ""
            wanted = "a city that has a time zone of its own, such as Dublin or Chicago"
            return Written(f"{wanted}{meant}", near=near)
        zone = of_country[0]
    _change(tx, who, zone_set=True)
    clubs.change(tx, who.club, zone=zone)
    return Written()


def _change(tx: Tx, who: Who, **values: object) -> None:
    settings = replace(clubs.club(tx, who.club).settings, **values)  # type: ignore[arg-type]
    clubs.change(tx, who.club, settings=settings.changed())


def _meetings(tx: Tx, who: Who, text: str) -> Written:
    meetings = setup_answers.read_run_meetings(text)
    if isinstance(meetings, str):
        return Written(f"a day with times, such as Fri 15:30-17:00; I can't read {meetings[:60]}")
    found = _adults(tx, who)
    strangers: list[str] = []
    clubs.remove_meetings(tx, who.club)
    for each, name in meetings:
        runs = _of_name(found, name) if name else None
        if name and runs is None:
            strangers.append(name[:60])
        adult = runs or who.person or None
        clubs.add_meeting(tx, who.club, each.weekday, each.starts, each.ends, adult, each.name)
    return Written(strangers=tuple(dict.fromkeys(strangers)))


def _adults(tx: Tx, who: Who) -> dict[PersonId, str]:
    return {row.id: row.name for row in people.people(tx, who.club) if row.role.adult}


def _of_name(adults: dict[PersonId, str], name: str) -> PersonId | None:
    said = name.casefold()
    same = [person for person, known in adults.items() if known.casefold() == said]
    begun = [person for person, known in adults.items() if known.casefold().startswith(said)]
    found = same or begun
    return found[0] if len(found) == 1 else None


def _runners(tx: Tx, who: Who, text: str) -> Written:
    """Give the meetings to adults: "Owen" for all of them, or "Fri Owen, Mon Nora"."""
    adults = _adults(tx, who)
    meetings = clubs.calendar(tx, who.club, who.zone).meetings
    chosen: dict[int, PersonId] = {}
    for piece in text.replace(";", ",").split(","):
        words = tidy(piece).split()
        day = setup.weekday(words[0]) if len(words) > 1 else None
        name = " ".join(words[1:] if day is not None else words)
        person = _of_name(adults, name.removeprefix("with ")) if name else None
        if person is None:
            return Written("the name of an adult who is in the club")
        for meeting in meetings:
            if day is None or meeting.weekday == day:
                chosen[meeting.id] = person
    for meeting_id, person in chosen.items():
        clubs.give_meeting(tx, who.club, meeting_id, person)
    return Written()


def _hours(tx: Tx, who: Who, text: str) -> Written:
    if setup_answers.none_meant(text):
        clubs.set_hours(tx, who.club, [])
        return Written()
    spans = setup.read_meetings(text)
    if isinstance(spans, str):
        return Written(f"a day with times, such as Mon 13:00-17:00; I can't read {spans[:60]}")
    clubs.set_hours(tx, who.club, [(each.weekday, each.starts, each.ends) for each in spans])
    return Written()


def _teams(tx: Tx, who: Who, text: str) -> Written:
    names = setup.read_names(text)
    if not names:
        return Written("at least one name")
    known = {ref.name.casefold() for ref in clubs.teams(tx, who.club).values()}
    for name in names:
        if name.casefold() not in known:
            clubs.add_team(tx, who.club, name)
            known.add(name.casefold())
    return Written()


def _accounts(tx: Tx, who: Who, text: str) -> Written:
    said = setup_answers.read_accounts(text)
    if said is None:
        return Written("with or without")
    if said == "without":
        _change(tx, who, accounts="without", students_confirmed_on="", students_confirmed_by=0)
        return Written()
    settings = clubs.club(tx, who.club).settings
    if said == "with":
        _change(tx, who, accounts="with")
        return Written(confirm=not settings.students_confirmed_on)
    if who.role is not Role.LEADER:
        return Written("a leader for that", confirm=True)
    today = who.now.astimezone(who.zone).date().isoformat()
    confirmed = {"students_confirmed_on": today, "students_confirmed_by": who.person}
    _change(tx, who, accounts="with", **confirmed)
    return Written()


def _feed(tx: Tx, who: Who, text: str) -> Written:
    if setup_answers.none_meant(text):
        feeds.remove(tx, who.club, who.now.astimezone(who.zone).date())
        return Written()
    found = read_address(text)
    if found is None:
        return Written("an address, such as https://school.example/calendar.ics")
    feeds.put(tx, who.club, found.url, who.person or None, who.now)
    return Written()


def _quiet(tx: Tx, who: Who, text: str) -> Written:
    found = setup_answers.read_quiet(text)
    if found is None:
        return Written("two times, such as 21:00-07:00")
    _change(tx, who, quiet_from=found[0], quiet_to=found[1])
    return Written()


def _emergency(tx: Tx, who: Who, text: str) -> Written:
    number = setup_answers.read_telephone(text)
    if number is None:
        return Written("a telephone number")
    _change(tx, who, emergency_number=number)
    return Written()


def _contact(tx: Tx, who: Who, text: str) -> Written:
    name = tidy(text)
    if not name or len(name) > _LONGEST_CONTACT:
        return Written(f"a name of 1 to {_LONGEST_CONTACT} characters")
    _change(tx, who, contact=name)
    return Written()


def _nothing(tx: Tx, who: Who, text: str) -> Written:
    return Written("nothing more")


_WRITERS: dict[SetUpStep, Callable[[Tx, Who, str], Written]] = {
    "name": _name,
    "zone": _zone,
    "kits": equipping.add_kits,
    "type": equipping.set_type,
    "tablets": equipping.pair_tablets,
    "chargers": equipping.set_chargers,
    "meetings": _meetings,
    "runners": _runners,
    "hours": _hours,
    "teams": _teams,
    "accounts": _accounts,
    "feed": _feed,
    "quiet": _quiet,
    "emergency": _emergency,
    "contact": _contact,
    "done": _nothing,
}
