"""Which notices may wait, which a person may switch off, and how many they get."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubbot.rules.calendar import DAY, ClubCalendar
from clubbot.rules.model import NoticeId, PersonId, Role
from clubbot.rules.reminding import charge_list, morning_list
from clubbot.rules.settings import ClubSettings

FAULTS = "faults"
GROUPS: Mapping[str, frozenset[str]] = {
    "tomorrow": frozenset({"tomorrow", "teardown"}),
    "due soon": frozenset({"due soon"}),
    "late": frozenset({"late asked", "late holder", "late morning", "late leader"}),
    "charge": frozenset({"charge list", "before a break", "top up"}),
    "morning": frozenset({"morning list"}),
    "changes": frozenset({"swapped", "changed", "short", "off", "moved", "left", "feed"}),
    FAULTS: frozenset({"fault", "mix", "scanned", "lost"}),
    "people": frozenset({"knock"}),
}
"""The kinds of notices by the word with which they are switched off; "other" is all the rest."""
NEVER = frozenset(
    {
        "danger",
        "danger again",
        "danger taken",
        "danger placed",
        "danger said again",
        "guessing",
        "only leader",
        "let in",
        "lot look",
        "lot over",
        "test left",
        "lot left",
    }
)
"""What nobody switches off: danger, what is on charge, who knocks at the lock."""
OTHER = "other"
BY_ROLE: Mapping[Role, tuple[str, ...]] = {
    Role.LEADER: (*GROUPS, OTHER),
    Role.CO_LEADER: (*GROUPS, OTHER),
    Role.HELPER: ("tomorrow", "due soon", "late", "changes", OTHER),
    Role.STUDENT: ("tomorrow", "due soon", "late", "changes", OTHER),
    Role.DOOR: (),
}


def group_of(kind: str) -> str | None:
    """Return the word with which a kind of notice is switched off; None: it can't be."""
    if kind in NEVER:
        return None
    return next((word for word, kinds in GROUPS.items() if kind in kinds), OTHER)


# -- what may wait for the next list ---------------------------------------------------------------

CAN_WAIT = frozenset({"fault", "mix"})
"""What an adult reads with the next list they get anyway: nobody has to act on it at once."""
_FAR = 8
_AROUND = timedelta(minutes=30)


def can_wait(kind: str, person: PersonId, now: datetime, calendar: ClubCalendar) -> bool:
    """Say whether an adult reads this with their next list: all but who runs a session just now.

    Where a session is run by nobody in particular, every adult hears of it at once.
    """
    if kind not in CAN_WAIT:
        return False
    day = calendar.day_of(now)
    running = [
        each
        for each in calendar.sessions(day, day)
        if each.window.start - _AROUND <= now <= each.window.end + _AROUND
    ]
    return not any(each.adult in (None, person) for each in running)


def next_list(now: datetime, calendar: ClubCalendar, settings: ClubSettings) -> datetime:
    """Return when an adult next gets a list: on a session's morning, or the week's charge list.

    Where there is none within a week it is now.
    """
    today = calendar.day_of(now)
    found = [charge_list(today + weeks * 7 * DAY, calendar, settings).at for weeks in (0, 1)]
    for offset in range(_FAR):
        due = morning_list(today + offset * DAY, calendar, settings)
        if due is not None:
            found.append(due.at)
    return min((at for at in found if now < at <= now + 7 * DAY), default=now)


# -- how many a child gets -------------------------------------------------------------------------

MOST_A_WEEK = 3
DUE_SOON_UP_TO = 2
"""A reminder just before the end is the first to go where a week is full."""
ANSWERS = frozenset({"let in", "offer", "decided", "longer said"})
"""What a child asked for: it doesn't count."""
ALWAYS = ANSWERS | {"off", "moved", "short"}
"""What comes whatever the count: a child has to know that the door will be closed."""


@dataclass(frozen=True, slots=True)
class Owed:
    """A notice that is due for a child."""

    id: NoticeId
    kind: str
    urgent: bool


def too_many(due: Sequence[Owed], sent_this_week: int) -> list[NoticeId]:
    """Return the notices that a child is spared, where so many messages went out this week.

    All that is due goes into one message, so that it counts once.
    """
    if any(each.urgent or each.kind in ALWAYS for each in due):
        return []
    if sent_this_week >= MOST_A_WEEK:
        return [each.id for each in due]
    if sent_this_week >= DUE_SOON_UP_TO and all(each.kind == "due soon" for each in due):
        return [each.id for each in due]
    return []
