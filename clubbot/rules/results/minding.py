"""What the desk answers about what is kept of people, and what they are told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.model import Role


@dataclass(frozen=True, slots=True)
class SentLine:
    """A message that the bot wrote to a child, as they read it."""

    at: datetime
    name: str
    role: Role
    text: str


@dataclass(frozen=True, slots=True)
class SentPage:
    """What was written to children, newest first; `person` 0: to all of them."""

    lines: tuple[SentLine, ...]
    name: str
    person: int
    page: int
    pages: int
    kept_days: int


@dataclass(frozen=True, slots=True)
class MyData:
    """All that is kept about the one who asks, as a file."""

    name: str
    content: str


@dataclass(frozen=True, slots=True)
class Mutes:
    """Which kinds of notices somebody gets: (kind, wanted)."""

    kinds: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class HelpNow:
    """What help needs beside the commands: how things stand at this moment.

    - `missing`: the set-up's first open question; `session`: one is on, or begins within an hour;
    - `out`: labels of the kits that this person or their team has, or, for adults and helpers, all;
    - `knocks`: how many wait to be let in; `faults`: how many are open.
    """

    missing: str = ""
    session: bool = False
    out: tuple[str, ...] = ()
    knocks: int = 0
    faults: int = 0
