"""Who acts for whom, and what somebody typed of being away."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from clubbot.rules.model import PersonId
from clubbot.rules.setup import read_days


@dataclass(frozen=True, slots=True)
class Absence:
    """From when to when somebody is away, both inclusive, and who acts for them.

    What was due at the very moment of coming back has gone to whoever acted.
    """

    person: PersonId
    acting: PersonId
    starts_at: datetime
    ends_at: datetime

    def at(self, moment: datetime) -> bool:
        return self.starts_at <= moment <= self.ends_at


def acting_for(person: PersonId, moment: datetime, absences: Iterable[Absence]) -> PersonId:
    """Return who acts for a person at a moment: themselves, unless they are away.

    Where everybody in turn is away, it stays with the person: nothing goes to nobody.
    """
    away = {each.person: each.acting for each in absences if each.at(moment)}
    found, seen = person, {person}
    while found in away:
        found = away[found]
        if found in seen:
            return person
        seen.add(found)
    return found


@dataclass(frozen=True, slots=True)
class Away:
    """Days that somebody is away, both inclusive, and who acts, where that was said."""

    first: date
    last: date
    acting: PersonId | None


_DATE_WORD = re.compile(
    r"(?:jan|feb|mar|apr|may|june?|july?|aug|sept?|oct|nov|dec|mon|tue|wed|thu|fri|sat|sun)[a-z]*"
    r"|today|tomorrow|week|month|\W*\d\S*",
    re.IGNORECASE,
)
_OPEN = re.compile(r"(?:until|till|to)\s+", re.IGNORECASE)
_AROUND = re.compile(r"^from\s+|[\s,;:]+$", re.IGNORECASE)


def read_away(
    text: str, adults: Mapping[PersonId, str], today: date, zone: ZoneInfo
) -> Away | str | None:
    """Read "3 Oct to 10 Oct Sam", "until Friday, Sam acts" or "3 Oct to 10 Oct".

    Returns the word that stands where a name should and is nobody's, or None where no days are
    found.
    """
    said = re.sub(r"\s+acts\W*$", "", " ".join(text.split()), flags=re.IGNORECASE)
    acting: PersonId | None = None
    for name, person in _by_name(adults):
        if re.search(rf"(?<!\w){re.escape(name)}$", said, re.IGNORECASE):
            acting, said = person, said[: -len(name)]
            break
    said = _AROUND.sub("", said)
    last = said.rpartition(" ")[2]
    if acting is None and last and not _DATE_WORD.fullmatch(last):
        return last
    if _OPEN.match(said):
        said = _OPEN.sub("today to ", said, count=1)
    span = read_days(said, today, zone) if said else None
    return Away(*span, acting) if span else None


def _by_name(adults: Mapping[PersonId, str]) -> list[tuple[str, PersonId | None]]:
    """Return whole names and first names, the longest first; with nobody where several have it."""
    found: dict[str, PersonId | None] = {}
    for person, name in adults.items():
        for called in {name, name.partition(" ")[0]} - {""}:
            found[called] = None if called in found else person
    return sorted(found.items(), key=lambda each: -len(each[0]))
