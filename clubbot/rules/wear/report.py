"""Each kit's faults for its use, and whether it fails more than the others or ever faster."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from clubbot.rules.model import KitId
from clubbot.rules.wear.rates import accused, bounds, excess, worsening

LOOKS_A_YEAR = 3
"""Terms in a school year, by common practice, no source; a look at the end of each."""
FALSE_A_YEAR = 0.05
"""Up to this chance a year may some kit of a healthy fleet be called worse than the others."""
LEAST_FOR_TREND = 4
"""Faults from which on a trend is looked for: fewer can hardly show one."""
SAME_FAULT = 3
"""The same fault so often within a term wants a proper look, whatever the numbers say."""
FEW_HOURS = 3.0
"""Driving hours in all under which nothing is compared: about six sessions' worth."""


@dataclass(frozen=True, slots=True)
class Failing:
    """One fault that counts: what was seen, when, and after how many driving hours of the kit."""

    symptom: str
    at: datetime
    hours: float


@dataclass(frozen=True, slots=True)
class Use:
    """What a kit has done in the span that is looked at."""

    kit: KitId
    sessions: int
    hours: float
    faults: tuple[Failing, ...] = ()


class Comparison(StrEnum):
    """What the numbers allow to be said of a kit, beside the others of its kind."""

    TOO_LITTLE = "too little use"
    LIKE_OTHERS = "like the others"
    WORSE = "worse than the others"
    WORSENING = "getting worse"


class Advice(StrEnum):
    """What to do about a kit."""

    KEEP = "keep"
    LOOK = "look properly"
    REPAIR = "repair"
    CLAIM = "claim"
    SCRAP = "scrap"


@dataclass(frozen=True, slots=True)
class Wear:
    """One kit's numbers. Rates are faults per 100 sessions with bounds at nine in ten.

    `times` is how many times as often it fails as the others; `again` the symptom that came three
    times within a term, empty where none did.
    """

    kit: KitId
    sessions: int
    hours: float
    faults: int
    low: float
    high: float
    times: float | None
    said: Comparison
    again: str
    advice: Advice


def look(
    uses: Sequence[Use],
    term_began: datetime,
    *,
    under_warranty: Mapping[KitId, bool],
    repairs: Mapping[KitId, int],
) -> tuple[Wear, ...]:
    """Compare each kit of one type with the rest, over driving hours; in the order given.

    `repairs` counts what was done to each in the span without its ending. Looked at once a term:
    the chance that any kit of a healthy fleet is called worse or worsening in a school year stays
    under `FALSE_A_YEAR`, half of it for each of the two.
    """
    said = _compared(uses)
    found = []
    for place, use in enumerate(uses):
        again = same_fault_again(use.faults, term_began)
        low, high = bounds(len(use.faults), use.sessions) if use.sessions else (0.0, 0.0)
        found.append(
            Wear(
                kit=use.kit,
                sessions=use.sessions,
                hours=use.hours,
                faults=len(use.faults),
                low=100 * low,
                high=100 * high,
                times=_times(use, uses),
                said=said[place],
                again=again,
                advice=_advice(
                    said[place],
                    again,
                    under_warranty.get(use.kit, False),
                    repairs.get(use.kit, 0),
                ),
            )
        )
    return tuple(found)


def _compared(uses: Sequence[Use]) -> list[Comparison]:
    """Return what may be said of each: worse than the rest, ever faster, or neither."""
    most = FALSE_A_YEAR / LOOKS_A_YEAR / 2
    all_hours = sum(use.hours for use in uses)
    worse = set(accused([_chance(use, uses) for use in uses], most))
    trends = [
        worsening([each.hours for each in use.faults], use.hours)
        if len(use.faults) >= LEAST_FOR_TREND
        else 1.0
        for use in uses
    ]
    faster = set(accused(trends, most))
    found = []
    for place, use in enumerate(uses):
        if not use.hours or all_hours < FEW_HOURS:
            found.append(Comparison.TOO_LITTLE)
        elif place in worse:
            found.append(Comparison.WORSE)
        else:
            found.append(Comparison.WORSENING if place in faster else Comparison.LIKE_OTHERS)
    return found


def same_fault_again(faults: Sequence[Failing], since: datetime) -> str:
    """Return the symptom that came so often since then that it wants a proper look, or nothing."""
    counted = Counter(each.symptom for each in faults if each.at >= since)
    often = [symptom for symptom, count in counted.most_common() if count >= SAME_FAULT]
    return often[0] if often else ""


def _others(use: Use, uses: Sequence[Use]) -> tuple[int, float]:
    rest = [each for each in uses if each.kit != use.kit]
    return sum(len(each.faults) for each in rest), sum(each.hours for each in rest)


def _chance(use: Use, uses: Sequence[Use]) -> float:
    faults, hours = _others(use, uses)
    return excess(len(use.faults), use.hours, faults, hours)


def _times(use: Use, uses: Sequence[Use]) -> float | None:
    """Return how many times the others' rate this kit's is; None where that can't be said."""
    faults, hours = _others(use, uses)
    if not use.hours or not hours or not faults:
        return None
    return (len(use.faults) / use.hours) / (faults / hours)


def _advice(said: Comparison, again: str, warranty: bool, repairs: int) -> Advice:
    """Return what to do: common practice, no source.

    A kit that is worse by the numbers is the supplier's while the warranty runs; otherwise it is
    repaired, and once three repairs haven't ended it, it is worth more as spare parts.
    """
    if said in (Comparison.WORSE, Comparison.WORSENING):
        if warranty:
            return Advice.CLAIM
        return Advice.SCRAP if repairs >= SAME_FAULT else Advice.REPAIR
    return Advice.LOOK if again else Advice.KEEP
