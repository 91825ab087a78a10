"""What the desk answers about software versions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class VersionLine:
    """The unit or tablet of a kit: its version (empty: not noted), and how it stands.

    `thing` is "unit" or "tablet"; `standing` is a value of the version rules, empty where the
    club has agreed on none.
    """

    kit: KitRef
    thing: str
    version: str
    standing: str


@dataclass(frozen=True, slots=True)
class EventDays:
    first: date
    last: date
    why: str


@dataclass(frozen=True, slots=True)
class Versions:
    """Who has which version, and how long the updates take in all, one after the other."""

    unit: str
    tablet: str
    lines: tuple[VersionLine, ...]
    minutes: int
    events: tuple[EventDays, ...]


@dataclass(frozen=True, slots=True)
class VersionAgreed:
    """The club agreed on a version, on none where it is empty; `behind` are to be updated."""

    thing: str
    version: str
    behind: tuple[KitRef, ...]
    minutes: int


@dataclass(frozen=True, slots=True)
class VersionNoted:
    """A version is on these; `back` are those of them that went back to it from a newer one."""

    thing: str
    version: str
    kits: tuple[KitRef, ...]
    back: tuple[KitRef, ...]


@dataclass(frozen=True, slots=True)
class OlderVersion:
    """Is going back meant? `kits` have the newer version beside each; `said` is what was typed."""

    thing: str
    version: str
    kits: tuple[tuple[KitRef, str], ...]
    said: str


@dataclass(frozen=True, slots=True)
class EventsNoted:
    """The events to come, as they stand now."""

    events: tuple[EventDays, ...]


@dataclass(frozen=True, slots=True)
class VersionsBehind:
    """What a leader is told days before: who is to be updated, how long it takes, when booked."""

    unit: str
    tablet: str
    lines: tuple[VersionLine, ...]
    minutes: int
    booked: date
