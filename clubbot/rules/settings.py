"""A club's settings: what a leader may change, and what holds until then."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import time
from typing import Any

from clubbot.rules.version_numbers import read_version


@dataclass(frozen=True, slots=True)
class ClubSettings:
    """Times are the club's own wall time; weekday 0 is Monday; None switches a thing off.

    - `grace_minutes`: how long after the end of a booking a kit is not yet late.
    - `gap_minutes`: what must lie between two teams' bookings of one kit.
    - `longest_days`, `ahead_days`, `team_limit`: how long, how far ahead and how many kits at a
      time a team may book; a leader may go beyond.
    - `evening_at`: when people are reminded of tomorrow's booking.
    - `due_soon_minutes`: how long before the end those with a kit are told that it is due.
    - `late_wait_minutes`: how long the session's adult has to answer before anybody is chased.
    - `morning_at`: when the second reminder of a late kit goes out, on the next open day.
    - `charge_days`: the weekdays on which every kit is charged for sure; once a leader says them,
      nothing is promised that a battery can't give from one to the next. Empty: batteries don't
      limit bookings.
    - `driving_percent`: how much of a session a kit drives; common practice, no source: a third.
    - `charge_bays`: how many batteries can be on the chargers at once; None: all of them.
    - `charge_minutes`: how long a charge from empty to full takes; the charger's guide says it.
    - `tablet_minutes`, `tablet_charge_minutes`: how long a full tablet lasts while it is on, and
      how long its own charger takes from empty to full; common practice, no source.
    - `charge_list_weekday`, `charge_list_at`: when the week's charge list goes out.
    - `parts_delivery_days`, `parts_order_days`: how long ordered parts take to come, and how long
      it is from one order to the next (a term); `parts_chance_percent`: how sure the spares are to
      last until then.
    - `scale_step_mg`: what the scale shows in that parts are weighed on, in milligrams.
    - `unit_version`, `tablet_version`: the software that the club agreed on, empty: none;
      `update_minutes`: how long one update takes (common practice, no source); `events`: the days
      of events, as first day, last day and why.
    - `zone_set`: whether somebody said which zone the club is in.
    - `hand_in`: where what is found is handed in, for whoever scans a label.
    - `keys_at`, `runs_on`, `account_of`: where the keys are, what the bot runs on, and whose
      account owns it, for whoever takes the club over.
    - `quiet_from`, `quiet_to`: no message but danger between these; students and helpers have
      their own, and the weekend too but for days on which the club meets.
    - `accounts`: "with" or "without" student accounts, empty until a leader says; students come
      in only once a leader has confirmed what has to be so (`students_confirmed_on`, an ISO day,
      and the number of the leader's row).
    - `keep_photos_days`, `keep_texts_days`, `keep_messages_days`, `keep_unseen_days`: how long
      photos of faults, the words of reports, what was sent to children and people who aren't
      seen are kept.
    """

    grace_minutes: int = 15
    gap_minutes: int = 0
    longest_days: int = 14
    ahead_days: int = 180
    team_limit: int | None = None
    evening_at: time = time(18)
    due_soon_minutes: int = 10
    late_wait_minutes: int = 45
    morning_at: time = time(8)
    charge_days: tuple[int, ...] = ()
    driving_percent: int = 33
    charge_bays: int | None = None
    charge_minutes: int = 150
    tablet_minutes: int = 360
    tablet_charge_minutes: int = 240
    charge_list_weekday: int = 4
    charge_list_at: time = time(15)
    parts_delivery_days: int = 21
    parts_order_days: int = 112
    parts_chance_percent: int = 90
    scale_step_mg: int = 1000
    unit_version: str = ""
    tablet_version: str = ""
    update_minutes: int = 20
    events: tuple[str, ...] = ()
    quiet_from: time = time(21)
    quiet_to: time = time(7)
    student_quiet_from: time = time(19)
    student_quiet_to: time = time(7, 30)
    emergency_number: str = ""
    contact: str = ""
    hand_in: str = ""
    keys_at: str = ""
    runs_on: str = ""
    account_of: str = ""
    zone_set: bool = False
    accounts: str = ""
    students_confirmed_on: str = ""
    students_confirmed_by: int = 0
    keep_photos_days: int = 180
    keep_texts_days: int = 400
    keep_messages_days: int = 30
    keep_unseen_days: int = 365

    @classmethod
    def read(cls, stored: Mapping[str, Any]) -> ClubSettings:
        """Make settings of what is stored; what isn't there, or isn't known, has its default."""
        found: dict[str, Any] = {}
        for each in fields(cls):
            if each.name in stored:
                value = stored[each.name]
                found[each.name] = _stored(each.default, value)
        return cls(**found)

    def changed(self) -> dict[str, Any]:
        """Return what differs from the defaults, ready to be stored."""
        return {
            each.name: _to_store(value)
            for each in fields(self)
            if (value := getattr(self, each.name)) != each.default
        }


def students_welcome(settings: ClubSettings) -> bool:
    """Say whether students may have accounts: the club wants that, and a leader has confirmed."""
    return settings.accounts == "with" and bool(settings.students_confirmed_on)


def _stored(default: object, value: Any) -> Any:
    if isinstance(default, time):
        return time.fromisoformat(value)
    return tuple(value) if isinstance(default, tuple) else value


def _to_store(value: Any) -> Any:
    if isinstance(value, time):
        return value.isoformat("minutes")
    return list(value) if isinstance(value, tuple) else value


_NAMES = {
    "grace": "grace_minutes",
    "gap": "gap_minutes",
    "longest": "longest_days",
    "ahead": "ahead_days",
    "most kits": "team_limit",
    "evening": "evening_at",
    "morning": "morning_at",
    "due soon": "due_soon_minutes",
    "late wait": "late_wait_minutes",
    "charge days": "charge_days",
    "driving": "driving_percent",
    "charger bays": "charge_bays",
    "full charge": "charge_minutes",
    "tablet lasts": "tablet_minutes",
    "tablet charge": "tablet_charge_minutes",
    "charge list": "charge_list_at",
    "charge day": "charge_list_weekday",
    "parts delivery": "parts_delivery_days",
    "parts order": "parts_order_days",
    "parts chance": "parts_chance_percent",
    "scale": "scale_step_mg",
    "unit version": "unit_version",
    "tablet version": "tablet_version",
    "update": "update_minutes",
    "quiet from": "quiet_from",
    "quiet to": "quiet_to",
    "students quiet from": "student_quiet_from",
    "students quiet to": "student_quiet_to",
    "emergency": "emergency_number",
    "contact": "contact",
    "hand in": "hand_in",
    "keys": "keys_at",
    "bot runs": "runs_on",
    "bot account": "account_of",
    "keep photos": "keep_photos_days",
    "keep texts": "keep_texts_days",
    "keep messages": "keep_messages_days",
    "keep unseen": "keep_unseen_days",
}
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_BOUNDS = {
    "grace_minutes": (0, 24 * 60),
    "gap_minutes": (0, 24 * 60),
    "longest_days": (1, 60),
    "ahead_days": (1, 730),
    "team_limit": (1, 200),
    "due_soon_minutes": (0, 24 * 60),
    "late_wait_minutes": (1, 24 * 60),
    "driving_percent": (1, 100),
    "charge_bays": (1, 200),
    "charge_minutes": (10, 24 * 60),
    "tablet_minutes": (30, 48 * 60),
    "tablet_charge_minutes": (10, 24 * 60),
    "parts_delivery_days": (1, 200),
    "parts_order_days": (7, 400),
    "parts_chance_percent": (50, 99),
    "update_minutes": (1, 240),
    "keep_photos_days": (1, 3650),
    "keep_texts_days": (1, 3650),
    "keep_messages_days": (1, 400),
    "keep_unseen_days": (30, 3650),
}
_WORDED = ("emergency_number", "contact", "hand_in", "keys_at", "runs_on", "account_of")
_VERSIONS = ("unit_version", "tablet_version")
_LONGEST = 60
_COARSEST = 100_000
"""Milligrams: no scale for parts shows in larger steps."""
_LONGER = {"keys_at": 200, "runs_on": 200, "account_of": 120}


def spelled(settings: ClubSettings) -> tuple[tuple[str, str], ...]:
    """Return each setting by the name that people type, with its value as they read it."""
    return tuple((name, _spell(field, getattr(settings, field))) for name, field in _NAMES.items())


def _spell(field: str, value: object) -> str:
    if field == "charge_list_weekday" and isinstance(value, int):
        return _WEEKDAYS[value]
    if isinstance(value, tuple):
        return ", ".join(_WEEKDAYS[day] for day in value) or "not said"
    if isinstance(value, time):
        return value.isoformat("minutes")
    if field == "scale_step_mg" and isinstance(value, int):
        return f"{value / 1000:g} g"
    unit = field.rpartition("_")[2]
    if unit in ("minutes", "days", "percent"):
        return f"{value} {unit}"
    return "not set" if value in (None, "") else str(value)


def read_setting(settings: ClubSettings, text: str) -> tuple[ClubSettings, str] | str:
    """Return the settings with one changed, such as by "grace 20", and its name; or the problem."""
    words = " ".join(text.split())
    names = sorted(_NAMES, key=len, reverse=True)
    name = next((each for each in names if words.lower().startswith(each + " ")), None)
    if name is None:
        return "the name of a setting and its new value, such as: grace 20"
    field, said = _NAMES[name], words[len(name) :].strip()
    value = _read(field, said)
    if value is None:
        return f"{_wanted(field)} for {name}"
    return replace(settings, **{field: value}), name


def _read(field: str, said: str) -> Any:
    if field in _BOUNDS:
        low, high = _BOUNDS[field]
        number = said.split()[0]
        return int(number) if number.isdecimal() and low <= int(number) <= high else None
    if field == "scale_step_mg":
        found = re.fullmatch(r"(\d{1,3}(?:[.,]\d{1,3})?)\s*(?:g|grams?)?", said, re.IGNORECASE)
        step = round(float(found[1].replace(",", ".")) * 1000) if found else 0
        return step if 1 <= step <= _COARSEST else None
    if field == "charge_list_weekday":
        return _weekday(said)
    if field == "charge_days":
        if said.lower() == "none":
            return ()
        days = [_weekday(word) for word in re.split(r"[,\s]+|\band\b", said) if word]
        return None if None in days else tuple(sorted({day for day in days if day is not None}))
    if field in _VERSIONS:
        return "" if said.lower() == "none" else read_version(said)
    if field in _WORDED:
        return said if len(said) <= _LONGER.get(field, _LONGEST) else None
    match = re.fullmatch(r"(\d{1,2})[:.](\d{2})", said)
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        return None
    return time(int(match[1]), int(match[2]))


def _weekday(said: str) -> int | None:
    found = [day for day in _WEEKDAYS if len(said) > 1 and day.lower().startswith(said.lower())]
    return _WEEKDAYS.index(found[0]) if len(found) == 1 else None


def _wanted(field: str) -> str:
    if field in _BOUNDS:
        low, high = _BOUNDS[field]
        return f"a whole number from {low} to {high}"
    if field == "scale_step_mg":
        return "what its display steps by in grams, such as 0.1"
    if field == "charge_list_weekday":
        return "a day of the week, such as Friday"
    if field == "charge_days":
        return "days of the week, such as Mon, Fri, or none"
    if field in _VERSIONS:
        return "a version in one word, such as 3.2, or none"
    if field in _WORDED:
        return f"at most {_LONGER.get(field, _LONGEST)} characters"
    return "a time, such as 15:30"
