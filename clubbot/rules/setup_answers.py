"""Answers to the further questions of the set-up: bays, quiet hours, numbers, who runs what."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from datetime import time
from importlib.util import find_spec
from pathlib import Path
from zoneinfo import TZPATH

from clubbot.rules.setup import LONGEST_NAME, MeetingText, read_meetings, read_new_labels
from clubbot.rules.tidy import tidy

MOST_BAYS = 200
_NOTHING = frozenset({"none", "no", "nothing", "off", "0"})
_TIME = r"(\d{1,2})(?:[:.](\d{2}))?\s*([ap]\.?m\.?)?"
_QUIET = re.compile(rf"(?:from\s+)?{_TIME}\s*(?:-|\u2013|to|until|till)\s*{_TIME}", re.I)
_TELEPHONE = re.compile(r"\+?[0-9][0-9 /()\-]{0,28}[0-9]|[0-9]{1,2}")
_CHARGERS = re.compile(
    r"(\d{1,3})\s+chargers?\s+(?:with|of|\u00e0|x)\s+(\d{1,3})(?:\s+bays?)?(?:\s+each)?", re.I
)
_ONE = re.compile(r"(.*?)\s*[:=]?\s*(\d{1,3})(?:\s*(?:bays?|places?))?", re.I)
_RUN_BY = re.compile(r"\s+(?:with|run by|led by|by)\s+([^\d]+)$", re.I)


def none_meant(text: str) -> bool:
    """Say whether an answer says that there is none."""
    return tidy(text).casefold().rstrip(".!") in _NOTHING


def read_run_meetings(text: str) -> list[tuple[MeetingText, str]] | str:
    """Return meeting times, each with the name of who runs it ("Fri 15:30-17:00 with Owen")."""
    found: list[tuple[MeetingText, str]] = []
    for piece in re.split(r"[,;\n]+", text):
        if not piece.strip():
            continue
        by = _RUN_BY.search(piece)
        times = read_meetings(piece[: by.start()] if by else piece)
        if isinstance(times, str):
            return times
        found += [(each, tidy(by[1]) if by else "") for each in times]
    return found or tidy(text)


def read_chargers(text: str) -> list[tuple[str, int]] | str:
    """Return chargers by name with their bays: "4", "Shelf 4, Desk 6", "2 chargers with 4 bays"."""
    if found := _CHARGERS.fullmatch(tidy(text)):
        chargers = [("", int(found[2]))] * int(found[1])
    else:
        chargers = []
        for piece in re.split(r"[,;\n]+|\band\b", text):
            if not tidy(piece):
                continue
            one = _ONE.fullmatch(tidy(piece))
            if one is None or (one[1] and not any(map(str.isalnum, one[1]))):
                return tidy(piece)
            name = re.sub(r"(?i)\s*\b(?:with|has)$", "", one[1]).strip()
            chargers.append((name[:LONGEST_NAME], int(one[2])))
    bays = sum(count for _, count in chargers)
    if not chargers or not 1 <= bays <= MOST_BAYS or any(count < 1 for _, count in chargers):
        return tidy(text)
    return [
        (name or f"Charger {place}", count) for place, (name, count) in enumerate(chargers, start=1)
    ]


def read_quiet(text: str) -> tuple[time, time] | None:
    """Return quiet hours such as "21:00-07:00" or "9 pm to 7 am"; midnight twice: none."""
    if none_meant(text):
        return time(0), time(0)
    found = _QUIET.fullmatch(tidy(text))
    if found is None:
        return None
    start, end = _clock(*found.groups()[:3]), _clock(*found.groups()[3:])
    return (start, end) if start is not None and end is not None else None


def _clock(hour: str, minute: str | None, half: str | None) -> time | None:
    hours, minutes = int(hour), int(minute or 0)
    if half:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if half.lower().startswith("p") else 0)
    return time(hours, minutes) if hours < 24 and minutes < 60 else None


def read_telephone(text: str) -> str | None:
    """Return a telephone number as typed, or nothing where the text is none; "none" is empty."""
    said = tidy(text)
    if none_meant(said) and said != "0":
        return ""
    return said if _TELEPHONE.fullmatch(said) else None


def read_shared(text: str, labels: Sequence[str]) -> tuple[str, ...] | str:
    """Return the labels of the kits that have a tablet of their own: "all", "none", "A to F, K"."""
    said = tidy(text).casefold().rstrip(".!")
    if said in ("all", "yes", "each", "one each", "one per kit", "every kit"):
        return tuple(labels)
    if none_meant(text):
        return ()
    wanted = read_new_labels(text) if not said.isdecimal() else said
    if isinstance(wanted, str):
        return "all, none, or labels such as A to F"
    known = {label.casefold(): label for label in labels}
    if strange := [label for label in wanted if label.casefold() not in known]:
        return f"labels of kits that there are, not {strange[0][:30]}"
    return tuple(known[label.casefold()] for label in wanted)


def read_accounts(text: str) -> str | None:
    """Return "with" or "without" student accounts; "confirmed" where a leader confirms."""
    said = tidy(text).casefold().rstrip(".!")
    if said.startswith(("without", "no")):
        return "without"
    if said.startswith(("confirm", "all three", "i confirm")):
        return "confirmed"
    return "with" if said.startswith(("with", "yes")) else None


@functools.cache
def _countries() -> dict[str, tuple[str, ...]]:
    """Return the zones of each country by its name, from the zone database's own tables."""
    names = {code: name for code, name, *_ in _table("iso3166.tab")}
    found: dict[str, list[str]] = {}
    for code, _, zone, *_ in _table("zone.tab"):
        found.setdefault(names.get(code, code).casefold(), []).append(zone)
    return {name: tuple(zones) for name, zones in found.items()}


def _table(name: str) -> list[list[str]]:
    folders = [Path(folder) for folder in TZPATH]
    if (package := find_spec("tzdata")) is not None and package.origin:
        folders.append(Path(package.origin).parent / "zoneinfo")
    file = next((each / name for each in folders if (each / name).is_file()), None)
    if file is None:
        return []
    lines = file.read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if line and not line.startswith("#")]


def zones_of_country(text: str) -> tuple[str, ...]:
    """Return the zones of the country that a text ends in ("Cork, Ireland"), if it names one."""
    said = tidy(text).casefold()
    last = said.rpartition(",")[2].strip()
    return _countries().get(said) or _countries().get(last) or ()
