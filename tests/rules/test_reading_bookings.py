"""What people type when they want kits, and what it is read as."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from clubbot.rules.reading import describe_json, read_booking

WEDNESDAY = datetime(2026, 10, 7, 13, 20, tzinfo=ZoneInfo("Europe/Dublin"))
LABELS = tuple("ABCDEFGHJKLM")


@pytest.mark.parametrize(
    ("text", "start", "end", "count", "kits"),
    [
        ("3 kits friday 3:30 to 5 for the Lanterns", "10-09T15:30", "10-09T17:00", 3, []),
        ("kit D tomorrow half three to five", "10-08T15:30", "10-08T17:00", 1, ["D"]),
        ("two robots on thursday 15h30 - 17h", "10-08T15:30", "10-08T17:00", 2, []),
        ("kits D-F friday week 1530-1700", "10-16T15:30", "10-16T17:00", 3, ["D", "E", "F"]),
    ],
)
def test_a_request_in_plain_words_is_read(
    text: str, start: str, end: str, count: int, kits: list[str]
) -> None:
    assert describe_json(read_booking(text, WEDNESDAY, LABELS)) == {
        "start": f"2026-{start}",
        "end": f"2026-{end}",
        "count": count,
        "kits": kits,
    }
