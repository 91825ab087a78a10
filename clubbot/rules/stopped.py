"""When a unit stopped in a run-time test, as people type it: a time of day, or minutes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

_TIME = re.compile(r"(?<!\d)(\d{1,2})[:.](\d{2})(?!\d)")
_MINUTES = re.compile(
    r"(?<![\d.,\-\u2212])(\d{1,3})\s*(?:min(?:ute)?s?)\b|(?<=\s)(\d{1,3})\s*$", re.IGNORECASE
)
_WORDS = re.compile(r"\b(?:at|after|stopped|ran|flat|for)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Stop:
    """The moment, and what is left of the text: which kit it is."""

    at: datetime
    rest: str


def read_stop(text: str, started: datetime, now: datetime, zone: ZoneInfo) -> Stop | None:
    """Return when something stopped between the start of a test and now; None: it says no such."""
    if found := _TIME.search(text):
        hour, minute = int(found[1]), int(found[2])
        if hour > 23 or minute > 59:
            return None
        local = started.astimezone(zone).replace(hour=hour, minute=minute, second=0, microsecond=0)
        at = local.astimezone(now.tzinfo)
        at = at if at > started else at + timedelta(days=1)
    elif found := _MINUTES.search(text):
        at = started + timedelta(minutes=int(found[1] or found[2]))
    else:
        return None
    if not started < at <= now + timedelta(minutes=1):
        return None
    rest = _WORDS.sub(" ", f"{text[: found.start()]} {text[found.end() :]}")
    return Stop(min(at, now), " ".join(rest.split()))
