"""A club's settings: what a leader may change, and what holds until then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import time
from typing import Any


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
    - `charge_list_weekday`, `charge_list_at`: when the week's charge list goes out.
    - `quiet_from`, `quiet_to`: no message but danger between these; students have their own.
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
    charge_list_weekday: int = 4
    charge_list_at: time = time(15)
    quiet_from: time = time(21)
    quiet_to: time = time(7)
    student_quiet_from: time = time(19)
    student_quiet_to: time = time(7, 30)
    emergency_number: str = ""
    contact: str = ""

    @classmethod
    def read(cls, stored: Mapping[str, Any]) -> ClubSettings:
        """Make settings of what is stored; what isn't there, or isn't known, has its default."""
        found: dict[str, Any] = {}
        for each in fields(cls):
            if each.name in stored:
                value = stored[each.name]
                is_time = isinstance(each.default, time)
                found[each.name] = time.fromisoformat(value) if is_time else value
        return cls(**found)

    def changed(self) -> dict[str, Any]:
        """Return what differs from the defaults, ready to be stored."""
        return {
            each.name: value.isoformat("minutes") if isinstance(value, time) else value
            for each in fields(self)
            if (value := getattr(self, each.name)) != each.default
        }
