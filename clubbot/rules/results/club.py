"""What the desk answers about the club and its people."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from clubbot.rules.model import PersonId, Role
from clubbot.rules.results.shared import KitRef, TeamRef


@dataclass(frozen=True, slots=True)
class MeetingView:
    id: int
    name: str
    weekday: int
    starts: str
    ends: str
    adult: str | None


@dataclass(frozen=True, slots=True)
class ClubView:
    """The club as it is set up; what is still missing shows by its emptiness."""

    name: str
    zone: str
    zone_set: bool
    kits: tuple[KitRef, ...]
    misread: tuple[str, ...]
    meetings: tuple[MeetingView, ...]
    teams: tuple[TeamRef, ...]
    closures: tuple[tuple[date, date, str], ...]
    settings: tuple[tuple[str, str], ...]
    people: int
    group: str | None
    resources: tuple[tuple[str, int], ...] = ()
    accounts: str = ""
    confirmed_on: date | None = None
    kit_type: str = ""
    run_minutes: int = 0
    parts: tuple[tuple[str, int], ...] = ()
    tablets: int = 0
    chargers: tuple[tuple[str, int], ...] = ()
    bays: int = 0
    hours: tuple[MeetingView, ...] = ()
    feed: str = ""
    quiet: tuple[str, str] | None = None
    emergency: str = ""
    contact: str = ""
    adults: int = 0


@dataclass(frozen=True, slots=True)
class SettingChanged:
    """One setting, by the name that people type, and what it is now."""

    name: str
    value: str


SetUpStep = Literal[
    "name",
    "zone",
    "kits",
    "type",
    "tablets",
    "chargers",
    "meetings",
    "runners",
    "hours",
    "teams",
    "accounts",
    "feed",
    "quiet",
    "emergency",
    "contact",
    "done",
]


@dataclass(frozen=True, slots=True)
class SetUpAsks:
    """The next question of the set-up, and the club as far as it stands; "done" is the whole list.

    - `problem`: what was wrong with the answer; `near`: zones that it may have meant.
    - `misread`: labels just typed that will be misread, not taken yet; `instead`: as many others.
    - `strangers`: people named who aren't adults of the club; the meetings are the asker's.
    - `adults`: whom a meeting can be given to, by their number.
    - `missing`: the first question without an answer, for the list.
    - `confirm`: a leader is asked to confirm what has to be so before students come in.
    """

    step: SetUpStep
    club: ClubView
    problem: str = ""
    near: tuple[str, ...] = ()
    misread: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    strangers: tuple[str, ...] = ()
    adults: tuple[tuple[int, str, bool], ...] = ()
    missing: SetUpStep | None = None
    confirm: bool = False


@dataclass(frozen=True, slots=True)
class Claimed:
    club: str
    person: str


@dataclass(frozen=True, slots=True)
class Knocked:
    club: str
    contact: str = ""


@dataclass(frozen=True, slots=True)
class Invited:
    """`code` is shown this once; only its hash is kept. It is empty where a repeat is answered."""

    code: str
    role: Role
    uses: int
    until: datetime


@dataclass(frozen=True, slots=True)
class PersonView:
    id: PersonId
    name: str
    role: Role
    reachable: bool
    teams: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KnockView:
    id: int
    name: str
    role: Role
    at: datetime


@dataclass(frozen=True, slots=True)
class People:
    """Who is in the club, and who knocks; `page` is the one to be shown, from 1."""

    people: tuple[PersonView, ...]
    knocks: tuple[KnockView, ...]
    page: int = 1


@dataclass(frozen=True, slots=True)
class LetIn:
    person: PersonView
    teams: tuple[TeamRef, ...]


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """`name` is empty where a repeat is answered: it isn't kept."""

    name: str


@dataclass(frozen=True, slots=True)
class Removed:
    """`name` is empty where a repeat is answered: it isn't kept."""

    name: str


@dataclass(frozen=True, slots=True)
class AboutMe:
    """All that is kept about a person: who they are, and how much of what they said and booked."""

    club: str
    account: int
    name: str
    role: Role
    teams: tuple[str, ...]
    since: datetime
    bookings: int
    entries: int
    reports: int


@dataclass(frozen=True, slots=True)
class ConfirmLeaving:
    club: str


@dataclass(frozen=True, slots=True)
class LeftClub:
    club: str


@dataclass(frozen=True, slots=True)
class TeamSet:
    person: str
    team: TeamRef


@dataclass(frozen=True, slots=True)
class Closed:
    """Days were closed, or opened again; `told` people are told of `cancelled` bookings."""

    closed: bool
    first_day: date
    last_day: date
    cancelled: int
    told: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class ConfirmClosing:
    """No club on a day: so many bookings would be cancelled. Really?"""

    day: date
    bookings: int


@dataclass(frozen=True, slots=True)
class ClubChoice:
    """A person in several clubs: which one is meant from now on."""

    clubs: tuple[tuple[int, str, bool], ...]


@dataclass(frozen=True, slots=True)
class Welcome:
    """What someone who has just opened the chat is told."""

    club: str | None
    role: Role
    contact: str


@dataclass(frozen=True, slots=True)
class Forgot:
    """The dialogue that stood here is over."""

    was: str
