"""What the desk answers in a club's group, and what it announces there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.model import Window


@dataclass(frozen=True, slots=True)
class GroupLinked:
    """`sees_everything`: the bot can read every message here, and the school said yes to that."""

    club: str
    sees_everything: bool


@dataclass(frozen=True, slots=True)
class SchoolsYesNeeded:
    """The bot could read every message of a group: as an administrator, or without privacy mode."""

    club: str
    as_administrator: bool


@dataclass(frozen=True, slots=True)
class GroupLetGo:
    """The group that this was said in belongs to no club any more."""

    club: str


@dataclass(frozen=True, slots=True)
class AnnouncementsSet:
    """Announcements come where this was said, in a topic or not, or not at all."""

    announces: bool
    in_topic: bool


@dataclass(frozen=True, slots=True)
class DaysAnnounced:
    """There is no club on these days, both inclusive, or there is one after all."""

    first: date
    last: date
    closed: bool


@dataclass(frozen=True, slots=True)
class MoveAnnounced:
    """A session is held at another time."""

    before: Window
    after: Window
