"""Calendars from outside and to outside: what a school's calendar says of closed days, and the
club's bookings as a calendar file. Both are iCalendar (RFC 5545)."""

from clubbot.rules.feeds.address import FeedAddress, read_address
from clubbot.rules.feeds.model import (
    AHEAD_DAYS,
    FeedCopy,
    FeedDay,
    FeedRead,
    FeedToFetch,
    Fetched,
    Trouble,
    Unchanged,
)
from clubbot.rules.feeds.reading import read_feed
from clubbot.rules.feeds.writing import calendar_file

__all__ = [
    "AHEAD_DAYS",
    "FeedAddress",
    "FeedCopy",
    "FeedDay",
    "FeedRead",
    "FeedToFetch",
    "Fetched",
    "Trouble",
    "Unchanged",
    "calendar_file",
    "read_address",
    "read_feed",
]
