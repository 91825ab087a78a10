"""Plain words read into requests: labels, counts, days, times."""

from clubbot.rules.reading.answers import (
    Answer,
    Ask,
    Either,
    Error,
    MeetingTime,
    Missing,
    Reading,
    Unreadable,
    Weekly,
    describe_json,
)
from clubbot.rules.reading.booking import as_answer, read_answer
from clubbot.rules.reading.booking_lines import understand_bookings
from clubbot.rules.reading.by_name import read_booking
from clubbot.rules.reading.labels import read_labels
from clubbot.rules.reading.zones import date_order, instant

__all__ = [
    "Answer",
    "Ask",
    "Either",
    "Error",
    "MeetingTime",
    "Missing",
    "Reading",
    "Unreadable",
    "Weekly",
    "as_answer",
    "date_order",
    "describe_json",
    "instant",
    "read_answer",
    "read_booking",
    "read_labels",
    "understand_bookings",
]
