"""Requests as JSON lines in, readings as JSON lines out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from clubbot.rules.reading.answers import describe_json
from clubbot.rules.reading.booking import read_booking
from clubbot.rules.reading.zones import instant

UNREADABLE = '{"error": "unreadable-line"}'


def understand_bookings(lines: Iterable[str]) -> Iterator[str]:
    """One JSON line for each line in, in order; blank lines are passed over.

    A line is `{"text", "now": local wall time, "tz": IANA zone, "labels": [...]}`. One that is
    no such object gives `{"error": "unreadable-line"}` and the next is read all the same.
    """
    for line in lines:
        if line.strip():
            yield _understood(line)


def _understood(line: str) -> str:
    try:
        asked = json.loads(line)
        text, labels = asked["text"], asked["labels"]
        zone = ZoneInfo(asked["tz"])
        now = datetime.fromisoformat(asked["now"])
    except (ValueError, KeyError, TypeError, OSError, RecursionError):
        return UNREADABLE
    if not isinstance(text, str) or not isinstance(labels, list):
        return UNREADABLE
    if not all(isinstance(label, str) for label in labels):
        return UNREADABLE
    if now.tzinfo is not None:
        here = now.astimezone(zone)
    else:
        here = instant(now, now.replace(tzinfo=zone))
    return json.dumps(describe_json(read_booking(text, here, labels)), ensure_ascii=False)
