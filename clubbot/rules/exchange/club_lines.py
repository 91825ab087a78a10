"""What one line of the club's own file says: a setting and its value, as people type them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import time
from typing import Protocol

from clubbot.rules import setup, setup_answers
from clubbot.rules.feeds import read_address
from clubbot.rules.settings import ClubSettings, read_setting, spelled
from clubbot.rules.tidy import tidy

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_LONGEST_CLUB = 80
NOTHING = "none"


class Weekly(Protocol):
    """A weekly span of time; weekday 0 is Monday."""

    @property
    def weekday(self) -> int: ...
    @property
    def starts(self) -> time: ...
    @property
    def ends(self) -> time: ...


def weekly(each: Weekly, name: str = "", adult: str = "") -> str:
    """Return a weekly span as it is typed: "Robotics A: Mon 16:00-17:30 with Owen"."""
    words = f"{name}: " if name else ""
    span = f"{_DAYS[each.weekday]} {each.starts:%H:%M}-{each.ends:%H:%M}"
    return words + span + (f" with {adult}" if adult else "")


def chargers_line(chargers: Sequence[tuple[str, int]]) -> str:
    """Return chargers as they are typed: "shelf 4, desk 6"."""
    return ", ".join(f"{name} {bays}" for name, bays in chargers)


def _name(text: str) -> str | None:
    name = tidy(text)
    return name if 0 < len(name) <= _LONGEST_CLUB else None


def _city(text: str) -> str | None:
    zone = setup.read_zone(text)
    if isinstance(zone, str):
        return zone
    of_country = setup_answers.zones_of_country(text)
    return of_country[0] if len(of_country) == 1 else None


def _meetings(text: str) -> str | None:
    found = setup_answers.read_run_meetings(text)
    if isinstance(found, str):
        return None
    return ", ".join(weekly(each, each.name, adult) for each, adult in found)


def _hours(text: str) -> str | None:
    if setup_answers.none_meant(text):
        return NOTHING
    found = setup.read_meetings(text)
    return None if isinstance(found, str) else ", ".join(weekly(each) for each in found)


def _accounts(text: str) -> str | None:
    said = setup_answers.read_accounts(text)
    return said if said in ("with", "without") else None


def _calendar(text: str) -> str | None:
    if setup_answers.none_meant(text):
        return NOTHING
    found = read_address(text)
    return found.url if found else None


def _chargers(text: str) -> str | None:
    if setup_answers.none_meant(text):
        return NOTHING
    found = setup_answers.read_chargers(text)
    return None if isinstance(found, str) else chargers_line(found)


READERS: dict[str, Callable[[str], str | None]] = {
    "name": _name,
    "city": _city,
    "meetings": _meetings,
    "adult there": _hours,
    "student accounts": _accounts,
    "calendar": _calendar,
    "chargers": _chargers,
}
"""What the set-up asks, by the name that the file gives it; the other lines are settings."""
OTHERS = frozenset(name for name, _ in spelled(ClubSettings()))


def read_club_value(setting: str, text: str) -> str | None:
    """Return a value spelled as it is written out, or None where it can't be read."""
    if setting in READERS:
        return READERS[setting](text)
    found = read_setting(ClubSettings(), f"{setting} {text}")
    if isinstance(found, str):
        return None
    settings, name = found
    return dict(spelled(settings))[name] if name == setting else None
