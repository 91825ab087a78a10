"""Which kits get a full count: few at a time, those first that most likely lack something.

Common practice, no source: a tray is counted whole about once in six sessions, so a sixth of the
kits, rounded up, at each; the team's own look at every return does the rest.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from clubbot.rules.ledger import Parts, Position, Use
from clubbot.rules.model import KitId

EVERY = 6
"""Sessions from one full count of a kit to the next."""
OFTEN = timedelta(days=21)
"""A kit that was counted more lately than this needs no count for its age."""

Why = Literal["missing", "away", "never", "oldest"]
_FIRST: tuple[Why, ...] = ("missing", "away", "never", "oldest")


@dataclass(frozen=True, slots=True)
class CountDue:
    """A kit to count, why, and when it was counted last."""

    kit: KitId
    why: Why
    counted_at: datetime | None


def to_count(
    positions: Mapping[KitId, Position], away: Mapping[KitId, datetime], now: datetime
) -> tuple[CountDue, ...]:
    """Return the kits to count today, the likeliest to lack something first.

    `away` says when a kit's last keep, loan or journey ended. A kit that is out, lost or scrapped
    isn't counted, nor one that was counted since what speaks for it.
    """
    found = [
        due
        for kit, position in positions.items()
        if not position.out
        and position.use not in (Use.LOST, Use.SCRAPPED)
        and (due := _due(kit, position, away.get(kit), now))
    ]
    most = math.ceil(len(positions) / EVERY)
    oldest = datetime.min.replace(tzinfo=now.tzinfo)
    order = sorted(found, key=lambda due: (_FIRST.index(due.why), due.counted_at or oldest))
    return tuple(order[:most])


def _due(kit: KitId, position: Position, away: datetime | None, now: datetime) -> CountDue | None:
    counted = position.counted_at
    today = counted is not None and now - counted < timedelta(hours=12)
    if today:
        return None
    if position.missing:
        return CountDue(kit, "missing", counted)
    if away is not None and (counted is None or counted < away):
        return CountDue(kit, "away", counted)
    if counted is None:
        return CountDue(kit, "never", None)
    return CountDue(kit, "oldest", counted) if now - counted >= OFTEN else None


def changed(before: Parts, after: Parts) -> tuple[Parts, Parts]:
    """Return what a count found missing that wasn't known, and what it found again."""
    was, now = dict(before), dict(after)
    new = tuple((part, n - was.get(part, 0)) for part, n in after if n > was.get(part, 0))
    back = tuple((part, n - now.get(part, 0)) for part, n in before if n > now.get(part, 0))
    return new, back


def tapped(missing: Parts, part: str, number: int) -> Parts:
    """Return what is missing after one tap on a part of which there should be so many.

    Each tap is one missing more; after the last one none is missing again.
    """
    numbers = dict(missing)
    numbers[part] = (numbers.get(part, 0) + 1) % (number + 1)
    return tuple(sorted((name, n) for name, n in numbers.items() if n))


def with_missing(missing: Parts, part: str, number: int) -> Parts:
    """Return what is missing with this number of one part, whatever it was before."""
    numbers = dict(missing) | {part: number}
    return tuple(sorted((name, n) for name, n in numbers.items() if n))


def listed(contents: Iterable[tuple[str, int]], missing: Parts) -> tuple[tuple[str, int, int], ...]:
    """Return (part, how many there should be, how many are missing), what is not on the list last.

    What was told missing under a name of nobody's list counts as that many that should be there.
    """
    gone = dict(missing)
    known = [(name, number, min(gone.pop(name, 0), number)) for name, number in contents]
    return (*known, *((name, n, n) for name, n in sorted(gone.items())))


def spelled(name: str, contents: Iterable[str]) -> str:
    """Return a part's name as the contents list has it, where a typed one means just one of them.

    "cables" is the list's "cable", and its "long cable" where no other cable is on it.
    """
    wanted, known = _stems(name), [(each, _stems(each)) for each in contents]
    same = [each for each, stems in known if stems == wanted]
    near = [each for each, stems in known if set(wanted) <= set(stems)]
    return same[0] if same else near[0] if len(near) == 1 else name


def _stems(name: str) -> list[str]:
    words = name.casefold().split()
    return [word[:-1] if len(word) > 3 and word.endswith("s") else word for word in words]


@dataclass(frozen=True, slots=True)
class PartTold:
    """What a line says of one part of a tray: how many, or what they weigh in milligrams."""

    part: str
    number: int | None
    milligrams: int | None = None


_UNITS = {"": None, "mg": 1, "g": 1000, "gr": 1000, "gram": 1000, "grams": 1000, "kg": 1_000_000}
_AMOUNT = r"(?P<n>\d{1,5})(?:[.,](?P<rest>\d{1,3}))?\s*(?P<unit>mg|kg|grams?|gr?)?\b"
_ORDERS = (
    re.compile(rf"(?P<part>\D.*?)[:,]?\s+(?:is|are|weighs?|weigh)?\s*{_AMOUNT}\s*", re.IGNORECASE),
    re.compile(rf"{_AMOUNT}\s+(?:of\s+)?(?P<part>\D.*?)\s*", re.IGNORECASE),
)
_LEAD = re.compile(r"^(?:weigh(?:ed|s|ing)?|count(?:ed)?)\b[:,]?\s*", re.IGNORECASE)


def read_part(text: str) -> PartTold | None:
    """Return what "weigh cables 143 g", "143 g of cables", "cables 28" or "28 cables" says."""
    line = _LEAD.sub("", text.strip())
    for order in _ORDERS:
        found = order.fullmatch(line)
        if found is None:
            continue
        unit = _UNITS[(found["unit"] or "").lower()]
        if unit is None:
            return None if found["rest"] else PartTold(found["part"].strip(), int(found["n"]))
        thousandths = int(found["n"]) * 1000 + int((found["rest"] or "").ljust(3, "0"))
        return PartTold(found["part"].strip(), None, thousandths * unit // 1000)
    return None
