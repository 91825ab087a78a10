"""The club's bookings as a calendar file (RFC 5545)."""

from __future__ import annotations

import unicodedata
import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from clubbot.rules.model import ClubId

if TYPE_CHECKING:
    from clubbot.rules.results.shared import BookingView

_NAMES = uuid.UUID("6c1d3f0e-5b0a-4e0e-9d5c-1f6f0c2a7b11")
"""Drawn once: what keeps these identifiers apart from everybody else's."""


def calendar_file(
    bookings: Iterable[BookingView], *, bot_id: int, club: ClubId, now: datetime, teams: bool
) -> str:
    """Return a calendar with one event a booking, times in UTC.

    An event keeps its identifier from file to file, so that a program that reads the next file
    replaces it. There is no person's name in it, and a team's only where `teams` says so.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", "-//clubbot//bookings//EN")
    calendar.add("METHOD", "PUBLISH")
    for booking in bookings:
        event = Event()
        event.add("UID", str(uuid.uuid5(_NAMES, f"{bot_id}/{club}/{booking.id}")))
        event.add("DTSTAMP", now)
        event.add("DTSTART", booking.window.start)
        event.add("DTEND", booking.window.end)
        event.add("SUMMARY", _title(booking, teams=teams))
        event.add("DESCRIPTION", f"Booking {booking.number}")
        calendar.add_component(event)
    return str(calendar.to_ical(), "utf-8")


def _title(booking: BookingView, *, teams: bool) -> str:
    kits = f"{booking.count} kit{'' if booking.count == 1 else 's'}"
    return f"{kits} for {_clean(booking.team.name)}" if teams and booking.team else kits


def _clean(name: str) -> str:
    """Leave out what no text may hold (RFC 5545, section 3.1), and what is taken for a line's end.

    The library reads a backslash and an N as the end of a line before it writes them.
    """
    kept = (char for char in name if unicodedata.category(char) not in ("Cc", "Cs"))
    return "".join(kept).replace("\\", "/")
