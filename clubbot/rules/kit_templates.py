"""Contents lists to begin with, and how they are edited by typing.

Common practice, no source: what trays for building and programming usually hold. A list is a
beginning only; the maker's own contents list is what counts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from clubbot.rules.setup import LONGEST_NAME
from clubbot.rules.tidy import tidy

MOST_OF_A_PART = 10_000
MOST_PARTS = 60
LONGEST_RUN = 24 * 60


@dataclass(frozen=True, slots=True)
class TemplatePart:
    """One line of a contents list; `tray` is the group of parts that are counted together."""

    name: str
    number: int
    big: bool = False
    essential: bool = True
    tray: str = ""


@dataclass(frozen=True, slots=True)
class Template:
    """A kit type to begin with; `run_minutes` of driving from a full charge."""

    name: str
    run_minutes: int
    parts: tuple[TemplatePart, ...]


_UNIT = TemplatePart("controller", 1, big=True)
_CHARGING = TemplatePart("charging cable", 1, big=True)
_TRAY = TemplatePart("tray with lid", 1, big=True)
_SMALL = (
    TemplatePart("beams and frames", 60, essential=False, tray="beams"),
    TemplatePart("axles", 20, essential=False, tray="axles and gears"),
    TemplatePart("gears", 16, essential=False, tray="axles and gears"),
    TemplatePart("pins and bushes", 120, essential=False, tray="pins"),
)

TEMPLATES: Mapping[str, Template] = {
    "usual": Template(
        "robot kit",
        120,
        (
            _UNIT,
            TemplatePart("large motor", 2, big=True),
            TemplatePart("small motor", 1, big=True),
            TemplatePart("distance sensor", 1, big=True),
            TemplatePart("colour sensor", 1, big=True),
            TemplatePart("touch sensor", 1, big=True),
            TemplatePart("wheel with tyre", 4, big=True),
            TemplatePart("motor and sensor cable", 7, big=True),
            _CHARGING,
            _TRAY,
            *_SMALL,
        ),
    ),
    "small": Template(
        "small robot kit",
        120,
        (
            _UNIT,
            TemplatePart("motor", 2, big=True),
            TemplatePart("sensor", 1, big=True),
            TemplatePart("wheel with tyre", 2, big=True),
            _CHARGING,
            _TRAY,
        ),
    ),
    "competition": Template(
        "competition kit",
        120,
        (
            _UNIT,
            TemplatePart("large motor", 4, big=True),
            TemplatePart("small motor", 2, big=True),
            TemplatePart("distance sensor", 2, big=True),
            TemplatePart("colour sensor", 2, big=True),
            TemplatePart("touch sensor", 2, big=True),
            TemplatePart("turn sensor", 1, big=True),
            TemplatePart("wheel with tyre", 6, big=True),
            TemplatePart("motor and sensor cable", 12, big=True),
            _CHARGING,
            _TRAY,
            *_SMALL,
        ),
    ),
    "bare": Template("robot kit", 120, (_UNIT, _CHARGING, _TRAY)),
}


@dataclass(frozen=True, slots=True)
class Edit:
    """What to change of a kit type: `numbers` says how many of a part; none of it takes it off."""

    name: str = ""
    run_minutes: int | None = None
    numbers: tuple[tuple[str, int], ...] = ()


_RUN = re.compile(r"(?:run(?:s|ning)?|driv\w*)(?:\s+time)?\s+(\d{1,4})(?:\s*min\w*)?", re.I)
_CALLED = re.compile(r"(?:call(?:ed)?(?: it)?|name)[ :]+(.+)", re.I)
_NONE = re.compile(r"(?:no|without|remove)\s+(.+)", re.I)
_BEFORE = re.compile(r"(\d{1,5})\s*(?:x|\u00d7)?\s+(.+)", re.I)
_AFTER = re.compile(r"(.+?)\s*[:=]?\s*(?:x|\u00d7)?\s*(\d{1,5})", re.I)


def read_edit(text: str) -> Edit | str:
    """Return the changes of a text such as "large motor 3, no touch sensor, run 90, called
    Rover", or the piece that can't be read."""
    name, minutes = "", None
    numbers: dict[str, int] = {}
    for part in re.split(r"[,;\n]+", text):
        piece = tidy(part)
        if not piece:
            continue
        if found := _RUN.fullmatch(piece):
            minutes = int(found[1])
            if not 1 <= minutes <= LONGEST_RUN:
                return piece
        elif found := _CALLED.fullmatch(piece):
            name = found[1][:LONGEST_NAME]
        elif (counted := _counted(piece)) and counted[1] <= MOST_OF_A_PART:
            numbers[counted[0][:LONGEST_NAME]] = counted[1]
        else:
            return piece
    if not (name or minutes or numbers):
        return tidy(text)
    return Edit(name, minutes, tuple(numbers.items()))


def _counted(piece: str) -> tuple[str, int] | None:
    if found := _NONE.fullmatch(piece):
        return found[1], 0
    if found := _BEFORE.fullmatch(piece):
        return found[2], int(found[1])
    if found := _AFTER.fullmatch(piece):
        return found[1], int(found[2])
    return None


def template(text: str) -> Template | None:
    """Return the template that a text names."""
    return TEMPLATES.get(tidy(text).casefold())
