"""Calendars as text, as short as they can be and still be whole."""

from __future__ import annotations

from collections.abc import Iterable


def calendar(*events: str, extra: Iterable[str] = ()) -> str:
    """Return a calendar of these events, with lines ended as RFC 5545 wants them."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//school//EN", *extra]
    for event in events:
        lines += event.splitlines()
    return "\r\n".join([*lines, "END:VCALENDAR", ""])


def event(title: str, start: str, end: str = "", *more: str, uid: str = "") -> str:
    """Return an event: `start` and `end` like 20261026 for days, 20261026T090000 for times.

    A zone may stand before the time, such as Europe/Dublin:20261026T090000.
    """
    lines = ["BEGIN:VEVENT", f"UID:{uid or f'{title}-{start}'}", "DTSTAMP:20260901T080000Z"]
    lines += [f"SUMMARY:{title}", _moment("DTSTART", start)]
    if end:
        lines.append(_moment("DTEND", end))
    return "\n".join([*lines, *more, "END:VEVENT"])


def _moment(name: str, said: str) -> str:
    zone, _, at = said.rpartition(":")
    if zone:
        return f"{name};TZID={zone}:{at}"
    return f"{name}:{at}" if "T" in at else f"{name};VALUE=DATE:{at}"
