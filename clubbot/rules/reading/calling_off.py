"""Words about a booking that stands: to cancel it, or to have it otherwise. Never a new request."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

_KITS = r"(?:kits?|units?|robots?|sets?)"
_THING = rf"(?:bookings?|reservations?|{_KITS})"
_IT = rf"(?:{_THING}|it|them|that|those|ours?|mine|\w+day(?:'?s)?|#?\d+)\b"
_NEAR = r"\s+(?:(?!mind\b)[\w'#]+\s+){0,3}?"
_CANCEL = re.compile(
    rf"\bcancel(?:l?ing)?\b|\bcall(?:ing)?\s+(?:(?:it|this|that|them)\s+)?off\b"
    rf"|\b(?:delete|remove|scrap|withdraw|drop(?!\s+(?:off|by|in)\b)){_NEAR}{_THING}\b"
    rf"|^[^\d]{{0,40}}?\b(?:(?:do(?:es)?\s?n[o']?t|do not|dont|doesnt|won'?t|will not)"
    rf"\s+(?:\w+\s+){{0,2}}?(?:need|want|use)|no longer\s+(?:need|want))"
    rf"\s+(?:\w+\s+){{0,3}}?(?:{_THING}\b|it\b|them\b)",
    re.IGNORECASE,
)
_CHANGE = re.compile(
    rf"\b(?:move|reschedule|postpone|push back|bring forward){_NEAR}{_IT}"
    rf"|\b(?:change|alter|shift|extend|shorten|swap){_NEAR}(?:booking|reservation)\b"
    rf"|\b(?:make|add|put){_NEAR}(?:booking|reservation)\s+#?\d",
    re.IGNORECASE,
)
_NUMBER = re.compile(
    rf"\b(?:booking|reservation)\s+(?:number|no\.?|nr\.?)?\s*#?(\d{{1,9}})\b(?!\s*[:/]|\s+{_KITS}\b)"
    r"|^\W*(?:please\s+)?(?:cancel|delete|move)\s+(?:number\s+|no\.?\s*)?#?(\d{1,9})"
    r"(?=\W*(?:please|pls|thanks|to\b.*)?\W*$)",
    re.IGNORECASE,
)


class CallsOff(NamedTuple):
    """What is to become of a booking, and its number where one was named."""

    what: Literal["cancel", "change"]
    number: int | None


def calls_off(text: str) -> CallsOff | None:
    """Read "cancel booking 1" or "move my booking to monday"; None where nothing is called off."""
    plain = text.replace("\u2019", "'")
    named = _NUMBER.search(plain)
    number = int(named[1] or named[2]) if named else None
    if _CHANGE.search(plain):
        return CallsOff("change", number)
    return CallsOff("cancel", number) if _CANCEL.search(plain) else None
