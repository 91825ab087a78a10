"""Software versions of units and tablets: which is newer, who has which, when leaders hear of it.

Dotted numbers are compared number by number ("3.10" is newer than "3.9"); of any other two
versions it is only known whether they are the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from typing import Literal

from clubbot.rules.calendar import DAY, ClubCalendar, days
from clubbot.rules.entries import Entry, EntryKind
from clubbot.rules.fitting import stays
from clubbot.rules.model import ItemId, ItemKind, KitId, Window
from clubbot.rules.reminding import Due, charge_list
from clubbot.rules.settings import ClubSettings
from clubbot.rules.version_numbers import older, read_version, same

Thing = Literal["unit", "tablet"]
THINGS: tuple[Thing, ...] = ("unit", "tablet")
SAID = (EntryKind.VERSION, EntryKind.WENT_BACK)
"""The entries that say which version is on something from then on."""
BEFORE_EVENT = 7
"""Days before an event on which nobody is told to update; common practice, no source."""
COMING = (2, 9)
"""Days from a notice: a kit that is booked between the two is worth updating now."""
_USEFUL = 3


# -- what people type ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Agree:
    """The club agrees on a version; on none where it is empty."""

    thing: Thing
    version: str


@dataclass(frozen=True, slots=True)
class Noting:
    """A version is on the things of these kits; `sure` where going back is meant."""

    thing: Thing
    kits: str
    version: str
    sure: bool = False


@dataclass(frozen=True, slots=True)
class EventSaid:
    """Days of an event, as they were typed; empty: there is none any more."""

    days: str
    why: str = ""


_AGREE = re.compile(r"agreed?\s+(unit|tablet)s?\s+(\S+)", re.IGNORECASE)
_EVENT = re.compile(r"events?\s+(.+)", re.IGNORECASE)
_THING = re.compile(r"\b(unit|tablet)s?\b", re.IGNORECASE)
_NONE = frozenset({"none", "off", "no"})


def read(text: str) -> Agree | Noting | EventSaid | None:
    """Read "agree unit 3.2", "D F 3.2", "tablet D 7.1 yes" or "event 20 Nov to 27 Nov: cup"."""
    text = " ".join(text.split())
    if found := _AGREE.fullmatch(text):
        version = "" if found[2].lower() in _NONE else read_version(found[2])
        return None if version is None else Agree(_thing(found[1]), version)
    if found := _EVENT.fullmatch(text):
        spelled, _, why = found[1].partition(":")
        return EventSaid("" if spelled.lower() in _NONE else spelled.strip(), why.strip()[:80])
    return _noting(text)


def _noting(text: str) -> Noting | None:
    words = text.split()
    sure = bool(words) and words[-1].lower() == "yes"
    words = words[:-1] if sure else words
    version = read_version(words[-1]) if words else None
    if version is None or not any(sign.isdigit() for sign in version):
        return None
    rest = " ".join(words[:-1])
    thing = _THING.search(rest)
    kits = " ".join(_THING.sub(" ", rest).split())
    return Noting(_thing(thing[1]) if thing else "unit", kits, version, sure) if kits else None


def _thing(word: str) -> Thing:
    return "tablet" if word.lower() == "tablet" else "unit"


# -- who has which ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class On:
    """What is on a kit's unit or tablet; `item` where one is fitted, `version` empty: not noted."""

    item: ItemId | None
    version: str


def on_all(
    entries: Iterable[Entry], kinds: Mapping[ItemId, ItemKind], kits: Iterable[KitId]
) -> dict[tuple[KitId, Thing], On]:
    """Return which version is on each kit's unit and tablet, from what stands, in order.

    A fitted thing has what was said of it, wherever it was; what was said of its kit before
    anything was listed there counts for it only if it was in the kit by then.
    """
    history = list(entries)
    of_item: dict[ItemId, str] = {}
    of_kit: dict[tuple[KitId, Thing], tuple[datetime, str]] = {}
    for entry in history:
        if entry.kind not in SAID:
            continue
        if entry.item is not None:
            of_item[entry.item] = entry.detail.note
        elif entry.kit is not None:
            thing: Thing = "tablet" if entry.detail.own else "unit"
            of_kit[entry.kit, thing] = entry.happened_at, entry.detail.note
    fitted: dict[tuple[KitId, Thing], tuple[ItemId, datetime]] = {}
    for thing in THINGS:
        mine = (each for each in history if each.item and kinds.get(each.item) == thing)
        for stay in stays(mine):
            if stay.end is None and stay.item is not None:
                fitted[stay.kit, thing] = stay.item, stay.start
    found: dict[tuple[KitId, Thing], On] = {}
    for kit in kits:
        for thing in THINGS:
            item, since = fitted.get((kit, thing), (None, None))
            said_at, version = of_kit.get((kit, thing), (None, ""))
            if item is not None:
                there = since is not None and said_at is not None and since <= said_at
                version = of_item.get(item, version if there else "")
            found[kit, thing] = On(item, version)
    return found


class Standing(StrEnum):
    """How a version stands to the one that the club agreed on."""

    AGREED = "as agreed"
    BEHIND = "behind"
    NEWER = "newer"
    OTHER = "another"
    UNKNOWN = "not noted"


def standing(version: str, agreed: str) -> Standing:
    """Compare a version with the agreed one; empty: not noted."""
    if not version:
        return Standing.UNKNOWN
    if same(version, agreed):
        return Standing.AGREED
    if older(version, agreed):
        return Standing.BEHIND
    return Standing.NEWER if older(agreed, version) else Standing.OTHER


TO_UPDATE = frozenset({Standing.BEHIND, Standing.OTHER})


def agreed(settings: ClubSettings, thing: Thing) -> str:
    """Return the version that the club agreed on for its units or tablets; empty: none."""
    return settings.unit_version if thing == "unit" else settings.tablet_version


# -- when the leaders hear of it -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Event:
    """Days, both included, on which everything has to work as it did before."""

    first: date
    last: date
    why: str = ""

    def stored(self) -> str:
        return f"{self.first.isoformat()} {self.last.isoformat()} {self.why}".strip()


def events(settings: ClubSettings) -> list[Event]:
    """Return the club's events, the first to come first."""
    found = []
    for each in settings.events:
        first, last, *why = each.split(" ", 2)
        found.append(Event(date.fromisoformat(first), date.fromisoformat(last), "".join(why)))
    return sorted(found, key=lambda event: (event.first, event.last, event.why))


def near_event(day: date, known: Iterable[Event]) -> Event | None:
    """Return the event that a day is too near to for updates, or None."""
    return next((e for e in known if e.first - BEFORE_EVENT * DAY <= day <= e.last), None)


def may_tell(day: date, calendar: ClubCalendar, settings: ClubSettings) -> bool:
    """Say whether the leaders may be told on a day: not on a session's, not near an event."""
    return not calendar.sessions(day, day) and near_event(day, events(settings)) is None


def notice_due(week_of: date, calendar: ClubCalendar, settings: ClubSettings) -> Due | None:
    """Return when the leaders hear who is behind, in a day's ISO week or just after; None: never.

    With the week's charge list; where that is a session's day, or the day before one, on the
    next day that is neither. Nothing is due too near to an event.
    """
    weekly = charge_list(week_of, calendar, settings)
    start = calendar.day_of(weekly.at)
    free = [d for d in days(start, start + 6 * DAY) if not calendar.sessions(d, d)]
    calm = [d for d in free if not calendar.sessions(d + DAY, d + DAY)]
    day = next(iter([*calm, *free]), None)
    if day is None or near_event(day, events(settings)) is not None:
        return None
    after = days(day + DAY, day + _USEFUL * DAY)
    until = next((d for d in after if calendar.sessions(d, d)), day + _USEFUL * DAY)
    at = calendar.instant(day, settings.charge_list_at)
    return Due(at, calendar.instant(until, time.min), weekly.occurrence)


def notice_moments(span: Window, calendar: ClubCalendar, settings: ClubSettings) -> list[datetime]:
    """Return the moments at which a notice may be due that fell from a week that touches a span."""
    if not (settings.unit_version or settings.tablet_version):
        return []
    first, last = calendar.day_of(span.start) - 7 * DAY, calendar.day_of(span.end)
    found = (notice_due(day, calendar, settings) for day in days(first, last))
    return sorted({due.at for due in found if due is not None})
