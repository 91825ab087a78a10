"""What the platform's errors say, in the form in which it is of use here."""

from __future__ import annotations

from datetime import timedelta

from telegram.error import RetryAfter, TelegramError

LONGEST = 150


def pause_asked(error: Exception | None) -> float:
    """Return the seconds that the platform asks to wait, or 0."""
    if not isinstance(error, RetryAfter):
        return 0.0
    after = error.retry_after
    return after.total_seconds() if isinstance(after, timedelta) else float(after)


def in_short(error: TelegramError) -> str:
    """Return an error's text on one line, without the web page that a proxy may have sent."""
    said = error.message.partition(". Parsing the server response")[0]
    return " ".join(said.split())[:LONGEST]
