"""A story as written: who does what when, and what must be seen of it.

A line that begins at the margin is something that happens:

    club Europe/Dublin from 2026-10-19 18:30     the zone, and where the clock starts (local time)
    person Nora: leader                          somebody with an account, and who they are
    group Robot club: Nora, Tess                 a group; its first person made it
    ## A heading
    at Fri 23 Oct 15:15                          the club's clock moves there
    Nora: /free fri                              Nora writes to the bot alone ...
    Nora in the group: /free fri                 ... or in the group ...
    Nora in the group answers "noted": and E     ... or in answer to the newest message like that
    Nora: [Book 2]                               presses the newest button with that text
    Nora shows a photo: of the cable             (or without a text)
    Tess opens the link                          the newest link to the bot that was given to anyone

and an indented line is what the bot must do about it, all of it, in order for each chat:

      > 9 of 12 kits free … A, B [Book 1]        it writes to whoever acted, where they acted
      ~ Booked: 2 kits [Cancel it]               it changes a message of its own there
      ! out of date                              it answers a press with a note that isn't kept
      Tess > Booking 3                           it writes to somebody else alone
      the group > Thanks                         it writes in the group

Texts are fragments: "…" stands for anything in between, and at both ends. {code} is the code for
the first leader. Lines that begin with # are remarks.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

GROUP = "the group"
GAP = "…"
_CLUB = re.compile(r"club (\S+) from (\d{4}-\d\d-\d\d \d\d:\d\d)")
_PERSON = re.compile(r"person ([^:]+): (.+)")
_GROUP = re.compile(r"group ([^:]+): (.+)")
_AT = re.compile(r"at (\w{3}) (\d{1,2}) (\w{3}) (\d\d:\d\d)")
_OPENS = re.compile(r"(.+?) opens the link")
_PHOTO = re.compile(r"(.+?)( in the group)? shows a photo(?:: (.+))?")
_SAYS = re.compile(r"([^:\[\"]+?)( in the group)?(?: answers \"(.+?)\")?: (.+)")
_EXPECTED = re.compile(r"(?:(.+?) )?([>~!]) (.+)")
_BUTTONS = re.compile(r"((?:\s*\[[^\]]+\])+)$")


class ScriptError(Exception):
    """A line that can't be understood; the text names it."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What must be seen: a new message (">"), a changed one ("~") or a passing note ("!")."""

    line: int
    written: str
    place: str
    """Whose private chat, or the group."""
    how: str
    fragments: tuple[str, ...]
    buttons: tuple[str, ...]

    def fits(self, how: str, text: str, buttons: list[str]) -> bool:
        """Say whether what was seen is what is written here."""
        at, shown = 0, " ".join(text.split())
        for fragment in self.fragments:
            found = shown.find(fragment, at)
            if found < 0:
                return False
            at = found + len(fragment)
        return how == self.how and all(each in buttons for each in self.buttons)


@dataclass(slots=True)
class Step:
    """Something that happens: `deed` is say, press, photo, open, at or heading."""

    line: int
    written: str
    deed: str
    actor: str = ""
    place: str = ""
    text: str = ""
    answers: str = ""
    moment: datetime | None = None
    expected: list[Expected] = field(default_factory=list)


@dataclass(slots=True)
class Script:
    """A whole story."""

    name: str
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    start: datetime = datetime(2026, 1, 1, tzinfo=UTC)
    people: list[tuple[str, str]] = field(default_factory=list)
    group: str = ""
    members: list[str] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)


def read(path: Path) -> Script:
    """Read a story from a file; ScriptError names a line that can't be understood."""
    script = Script(path.name)
    now = script.start
    for number, raw in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        line = raw.strip()
        if not line or (line.startswith("#") and not line.startswith("##")):
            continue
        try:
            if raw[0].isspace():
                _expect(script, number, line)
            elif not _header(script, line):
                script.steps.append(_step(script, number, line, now))
        except ValueError as error:
            raise ScriptError(f"{script.name}, line {number}: {error}: {line}") from error
        now = next((s.moment for s in reversed(script.steps) if s.moment), script.start)
    return script


def _header(script: Script, line: str) -> bool:
    if found := _CLUB.fullmatch(line):
        try:
            script.zone = ZoneInfo(found[1])
        except ZoneInfoNotFoundError as error:
            raise ValueError("there is no such zone") from error
        script.start = datetime.fromisoformat(found[2]).replace(tzinfo=script.zone)
    elif found := _PERSON.fullmatch(line):
        script.people.append((found[1], found[2]))
    elif found := _GROUP.fullmatch(line):
        script.group, script.members = found[1], [each.strip() for each in found[2].split(",")]
    else:
        return False
    return True


def _step(script: Script, number: int, line: str, now: datetime) -> Step:
    step = Step(number, line, "heading", text=line.removeprefix("##").strip())
    if line.startswith("##"):
        return step
    if found := _AT.fullmatch(line):
        step.deed, step.moment = "at", _moment(script, now, *found.groups())
        return step
    if found := _OPENS.fullmatch(line):
        step.deed, step.actor = "open", found[1]
    elif found := _PHOTO.fullmatch(line):
        step.deed, step.actor, step.text = "photo", found[1], found[3] or ""
        step.place = GROUP if found[2] else ""
    elif found := _SAYS.fullmatch(line):
        pressed = re.fullmatch(r"\[([^\]]+)\]", found[4])
        step.deed, step.text = ("press", pressed[1]) if pressed else ("say", found[4])
        step.actor, step.answers = found[1], found[3] or ""
        step.place = GROUP if found[2] else ""
    else:
        raise ValueError("not understood")
    _known(script, step.actor)
    step.place = step.place or step.actor
    return step


def _known(script: Script, name: str) -> None:
    if name not in [each for each, _ in script.people]:
        raise ValueError(f"there is no person {name!r}")


def _moment(script: Script, now: datetime, weekday: str, day: str, month: str, at: str) -> datetime:
    """The first such local time after `now`; the weekday must be the right one."""
    spelled = f"{day} {month} {{year}} {at}"
    for year in (now.year, now.year + 1):
        wall = datetime.strptime(spelled.format(year=year), "%d %b %Y %H:%M")  # noqa: DTZ007
        moment = wall.replace(tzinfo=script.zone)
        if moment - now >= timedelta(0):
            if f"{moment:%a}" != weekday:
                raise ValueError(f"that day is a {moment:%A}")
            return moment
    raise ValueError("that is over")


def _expect(script: Script, number: int, line: str) -> None:
    found = _EXPECTED.fullmatch(line)
    if not found or not script.steps or script.steps[-1].deed == "heading":
        raise ValueError("not understood")
    step = script.steps[-1]
    place = found[1] or step.place
    if place != GROUP:
        _known(script, place)
    buttons = _BUTTONS.search(found[3])
    words = found[3][: buttons.start()] if buttons else found[3]
    fragments = tuple(" ".join(part.split()) for part in words.split(GAP) if part.strip())
    shown = tuple(re.findall(r"\[([^\]]+)\]", buttons[1])) if buttons else ()
    step.expected.append(Expected(number, line, place, found[2], fragments, shown))
